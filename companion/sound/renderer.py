"""The renderer: turns a schedule into samples block by block, for WAV files and for the loudspeaker alike."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from companion.schedule.count_in import CountIn, ticks_of
from companion.schedule.events import Schedule
from companion.schedule.practice.rounds import RepeatRound, Turn
from companion.schedule.spans import Span
from companion.sound.chanter_line import ChanterLine
from companion.sound.clicks import ALWAYS, NEVER, ClickPassage, Clicks, counted_in
from companion.sound.mix import TUNE_CEILING, crossfade, limited, rise_from
from companion.sound.recorded_line import RecordedLine, RecordedSound
from companion.sound.settings import FADE_FRAMES, HALF_FADE, SAMPLE_RATE_HZ, SoundSettings
from companion.sound.transport import loop_frames, rest_frames
from companion.sound.voices import VoiceBank

DRONES_IN_FRAMES = round(0.05 * SAMPLE_RATE_HZ)
DRONES_OUT_FRAMES = round(0.4 * SAMPLE_RATE_HZ)


@dataclass(frozen=True, slots=True, eq=False)
class _RoundFrames:
    """A round in frames: where it begins, its rest included, where it ends, and how it sounds."""

    begins: int
    end: int
    passage: ClickPassage


class Renderer:
    """Turns a schedule into samples, a block at a time. Blocks of any sizes join to the same sound.

    bank: voices to use again, made anew where they do not fit the settings. drone_frame: where the drones' own loop
    begins, so that one renderer can take over from another while they go on. recorded: a recording that sounds in place
    of the chanter and the drones, None for none.
    """

    def __init__(
        self,
        schedule: Schedule,
        settings: SoundSettings,
        *,
        bank: VoiceBank | None = None,
        drone_frame: int = 0,
        recorded: RecordedSound | None = None,
    ) -> None:
        self.bank = bank if bank is not None and bank.fits(settings) else VoiceBank(settings)
        self._gains = limited(settings if recorded is None else replace(settings, drones_level=0.0), TUNE_CEILING)
        self._line: ChanterLine | RecordedLine = (
            ChanterLine(schedule, self.bank.chanter) if recorded is None else RecordedLine(schedule, recorded)
        )
        self._pulse = settings.pulse
        self._ticks = ticks_of(schedule, settings.pulse)
        self._uncounted = ClickPassage(Clicks.of(self._ticks, self.bank.ticks))
        self._passage = self._passage_left = self._uncounted
        self._end_frame = self._line.end_frame + DRONES_OUT_FRAMES
        self._rounds: tuple[RepeatRound, ...] = ()
        self._framed: tuple[_RoundFrames, ...] = ()
        self._rank = 0
        self._frame = 0
        self._fading_from: int | None = None
        self._faded = 0
        self._phase = self._phase_left = 0.0
        self._begun = False
        self.drone_frame = drone_frame

    @property
    def frame(self) -> int:
        """The frame of the tune that the next block begins with; in a count-in it may be below 0."""
        return self._frame

    @property
    def frames_left(self) -> int:
        """Frames to the end, the fading of the drones included, as if nothing were repeated."""
        return max(0, self._end_frame - self._frame)

    @property
    def finished(self) -> bool:
        """Whether all has been rendered and only silence follows."""
        return not self._framed and self._frame >= self._end_frame

    def seek(self, at_s: float, count: CountIn | None = None) -> None:
        """Go to `at_s` seconds of the schedule; what sounds is faded out within 5 ms.

        count: what is counted in around `at_s`; up to its end its clicks sound, and nothing else but, in a rest between
        two rounds, the drones.

        Between two jumps there should be a whole fade: a block of FADE_FRAMES or more.
        """
        turn = self._rounds[self._rank].turn if self._rounds else Turn.TOOL
        self._jump(round(at_s * SAMPLE_RATE_HZ), self._passage_in(turn, count))

    def make_ready(self, at_s: float) -> None:
        """Open what is read from a file where it will be heard from, for whoever can wait for that."""
        if isinstance(self._line, RecordedLine):
            self._line.make_ready(round(at_s * SAMPLE_RATE_HZ))

    def follow(self, other: Renderer) -> None:
        """Take over the drones, and the phase of the tone, of a renderer that this one replaces."""
        self.drone_frame = other.drone_frame
        self._phase = self._in_step_with(other._tone_phase())

    def set_loop(self, span: Span | None) -> None:
        """Play `span` over and over, 20 ms of it at least; None plays on to the end."""
        self.repeat([] if span is None else [RepeatRound(span)])

    def repeat(self, rounds: Sequence[RepeatRound], rank: int = 0) -> None:
        """Play these rounds over and over, from where it stands in that of the rank; none plays on to the end."""
        self._rounds, self._rank = tuple(rounds), rank
        self._framed = tuple(self._in_frames(each) for each in rounds)

    def _in_frames(self, each: RepeatRound) -> _RoundFrames:
        start, end = loop_frames(each.span)
        return _RoundFrames(start - rest_frames(each), end, self._passage_in(each.turn, each.rest))

    def _passage_in(self, turn: Turn, count: CountIn | None) -> ClickPassage:
        """How a round of that turn sounds after a count-in or rest; in the learner's the chanter is silent."""
        passage = counted_in(self._ticks, count, self._pulse, self.bank.ticks) if count else self._uncounted
        if turn is Turn.TOOL:
            return passage
        return replace(passage, enters=NEVER, drones_enter=passage.drones_enter if count else ALWAYS)

    def render(self, frames: int) -> NDArray[np.float32]:
        """The next `frames` frames: shape (frames, 2), -1 to 1, silence after the end."""
        out = np.empty((frames, 2), np.float32)
        at = 0
        while at < frames:
            if self._framed and self._frame >= self._framed[self._rank].end - HALF_FADE:
                self._rank = (self._rank + 1) % len(self._framed)
                self._jump(self._framed[self._rank].begins - HALF_FADE, self._framed[self._rank].passage)
            left = frames - at
            count = min(left, self._framed[self._rank].end - HALF_FADE - self._frame) if self._framed else left
            self._render_run(out[at : at + count])
            at += count
        return out

    def _jump(self, frame: int, passage: ClickPassage) -> None:
        before = self._tone_phase()
        if self._begun and self._fading_from is None:
            self._fading_from, self._phase_left, self._faded = self._frame, self._phase, 0
            self._passage_left = self._passage
        if self._frame < self._passage.drones_enter and passage is self._uncounted:
            passage = replace(passage, enters=frame, drones_enter=frame)  # out of a count-in, where no drones sounded
        self._frame, self._passage = frame, passage
        self._phase = self._in_step_with(before)

    def _tone_phase(self) -> float | None:
        """The phase, 0 to 1, of the tone with which the next block begins."""
        phase = self._line.phase_at(self._frame)
        return None if phase is None else phase + self._phase

    def _in_step_with(self, phase: float | None) -> float:
        """The phase shift by which the next tone goes on from `phase`: two tones that fade must not cancel."""
        own = self._line.phase_at(self._frame)
        return 0.0 if own is None or phase is None else (phase - own) % 1.0

    def _render_run(self, out: NDArray[np.float32]) -> None:
        """Fill `out` from the present frame on, with no jump within."""
        self._begun = True
        mono = self._mono(self._frame, len(out), self._phase, self._passage)
        if self._fading_from is not None:
            count = min(len(out), FADE_FRAMES - self._faded)
            left_off = self._mono(self._fading_from + self._faded, count, self._phase_left, self._passage_left)
            self._faded = crossfade(left_off, mono, self._faded)
            if self._faded == FADE_FRAMES:
                self._fading_from = None
        self._write_drones(out)
        out[:, 0] += mono
        out[:, 1] += mono
        self._frame += len(out)
        self.drone_frame += len(out)

    def _mono(self, start: int, frames: int, phase: float, passage: ClickPassage) -> NDArray[np.float32]:
        out = np.zeros(frames, np.float32)
        counted = min(max(passage.enters - start, 0), frames)
        self._line.add_to(out[counted:], start + counted, phase)
        if 0 < passage.enters > start - FADE_FRAMES:  # in the middle of a note, where the line has no fade of its own
            out[counted:] *= rise_from(passage.enters, start + counted, frames - counted)
        out *= np.float32(self._gains.chanter)
        if self._gains.metronome:
            passage.clicks.add_to(out, start, self._gains.metronome)
        return out

    def _write_drones(self, out: NDArray[np.float32]) -> None:
        """Write the drones, which come in with the first note and fade out after the last."""
        self.bank.drones.write(out, self.drone_frame, self._gains.drones)
        enters = self._passage.drones_enter
        if self._frame >= enters + DRONES_IN_FRAMES and self._frame + len(out) <= self._line.end_frame:
            return
        frame = np.arange(self._frame, self._frame + len(out))
        rise = np.clip((frame - enters + 0.5) / DRONES_IN_FRAMES, 0.0, 1.0)
        fall = np.clip((self._end_frame - frame - 0.5) / DRONES_OUT_FRAMES, 0.0, 1.0)
        out *= (np.sin(0.5 * np.pi * np.minimum(rise, fall)) ** 2).astype(np.float32)[:, np.newaxis]
