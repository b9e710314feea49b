"""A chanter's scale, played once and slowly, from which its voice is learnt whole: the calibration that is kept."""

from __future__ import annotations

import numpy as np

from companion.hearing.learnt import ENOUGH_TO_SEE, Learnt
from companion.hearing.live.frames import FrameStream
from companion.hearing.live.gather import SoundGatherer
from companion.hearing.live.learn_job import LearnJob
from companion.hearing.live.steady_pitch import HeldPitches
from companion.hearing.scale_fit import HOP_S, PIPE_BEFORE_PRACTICE, WINDOW_S, Bore
from companion.hearing.spectra import Floats, FrameGrid
from fingering.notes import TUNINGS, Note

NEAR_CENTS = 70.0
"""A pitch this near to where a note is expected, from low G on, is that note."""

NOT_THE_SCALE = "that was not heard as the scale: begin again on low G, each note long"


class ScaleCalibration:
    """Hears the nine notes from low G to high A, each held for half a second at least, in that order or, once low G is
    known, in any.

    wanted: the note to be played next, None once all are known. known: those that are. As with `LiveHearing` its owner
    asks for `next_job`, calls it and gives the result to `take_in`; then `learnt` holds all nine notes. trouble: what
    to do where the scale was not heard as one, "" for nothing.
    """

    def __init__(self, rate_hz: float) -> None:
        self._rate_hz = rate_hz
        self.begin_again()

    def begin_again(self) -> None:
        """Forget all that was heard."""
        self._frames = FrameStream(self._rate_hz)
        self._gatherer = SoundGatherer(self._frames.grid)
        rate_hz = self._frames.grid.rate_hz
        self._pitch_frames = FrameStream(self._rate_hz, FrameGrid.of(rate_hz, WINDOW_S, HOP_S))
        self._held = {bore: HeldPitches(bore, self._pitch_frames.grid) for bore in Bore}
        self._pitches: dict[Bore, dict[Note, float]] = {bore: {} for bore in Bore}
        self._working = False
        self.learnt: Learnt | None = None
        self.trouble = ""

    @property
    def known(self) -> tuple[Note, ...]:
        """The notes that were held, from the lowest on."""
        return tuple(sorted(self._pitches[self._bore]))

    @property
    def wanted(self) -> Note | None:
        """The note to be played next; None once all nine are known."""
        return next((note for note in Note if note not in self._pitches[self._bore]), None)

    @property
    def sounding(self) -> Note | None:
        """The note that is heard now; None where none is, or it has no name yet."""
        hz = self._held[self._bore].sounding_hz
        return None if hz is None else self._named(self._bore, hz)

    @property
    def share_held(self) -> float:
        """How long the note that sounds has been held, 0 to 1 for long enough."""
        return self._held[self._bore].share_held

    def hear(self, samples: Floats) -> None:
        """Take in the next mono samples, as many as there are."""
        samples = np.nan_to_num(np.asarray(samples, np.float32))
        self._gatherer.gather(*self._frames.take(samples))
        _, powers = self._pitch_frames.take(samples)
        for bore, held in self._held.items():
            for hz in held.follow(powers):
                note = self._named(bore, hz)
                if note is not None:
                    self._pitches[bore].setdefault(note, hz)

    def next_job(self) -> LearnJob | None:
        """The voice to be learnt, once all nine notes are known; else None."""
        if self._working or self.learnt is not None or self.wanted is not None:
            return None
        self._working = True
        return LearnJob(self._gatherer.pieces(), self._frames.grid.rate_hz)

    def take_in(self, learnt: Learnt | None) -> None:
        """Take in what the job returned. A note that it did not learn is wanted again."""
        self._working = False
        if learnt is None:
            self.begin_again()
            self.trouble = NOT_THE_SCALE
            return
        missing = [note for note in Note if learnt.heard[note] < ENOUGH_TO_SEE]
        for note in missing:
            self._pitches[self._bore].pop(note, None)
        if not missing:
            self.learnt = learnt

    @property
    def _bore(self) -> Bore:
        practice, pipe = (self._held[bore].likeness for bore in (Bore.PRACTICE, Bore.PIPE))
        return Bore.PIPE if pipe + PIPE_BEFORE_PRACTICE > practice else Bore.PRACTICE

    def _named(self, bore: Bore, hz: float) -> Note | None:
        """The note of a pitch by how far it lies above low G, which is the first that is held."""
        pitches = self._pitches[bore]
        if not pitches:
            return Note.LOW_G
        low_g_hz = pitches.get(Note.LOW_G, 0.0)
        if low_g_hz <= 0.0:  # low G was not learnt and is wanted again: the others say where it lies
            note, known_hz = next(iter(pitches.items()))
            low_g_hz = known_hz / (TUNINGS[0].ratio(note) / TUNINGS[0].ratio(Note.LOW_G))
        cents = 1200.0 * np.log2(hz / low_g_hz)
        away = {
            note: min(abs(cents - (tuning.cents(note) - tuning.cents(Note.LOW_G))) for tuning in TUNINGS)
            for note in Note
        }
        nearest = min(away, key=lambda note: away[note])
        return nearest if away[nearest] < NEAR_CENTS else None
