"""The sound of a take in review: heard away from the thread that draws, and played back in place of its events."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from pathlib import Path

from companion.files.worker import Done, Failed, Worker, fault_line
from companion.hearing.files.sound_file import mono_blocks_from, open_sound
from companion.hearing.takes.sound_take import SoundTake, hear_take_sound
from companion.midi.takes.reading import Take
from companion.sound.recorded_line import RecordedSound
from companion.window.takes.take_state import TakeState
from fingering.errors import UserError

MOST_GAIN = 8.0
"""A recording that is soft is played back so many times louder at most: noise would come up with it."""


class HearingSound:
    """The sound of a take being heard, in a thread of its own. `share`: how much was heard by now, 0 to 1."""

    def __init__(self, take: Take) -> None:
        self.share = 0.0
        self._worker = Worker(lambda: self._heard(take), "hearing a recording")
        self._worker.start()

    @property
    def result(self) -> SoundTake | str | None:
        """What was heard, or one line that says why nothing was; None while it goes on."""
        match self._worker.outcome:
            case Done(value):
                return value
            case Failed(UserError() as error):
                return str(error)
            case Failed(error):
                return fault_line("hearing this recording failed", error, "open it again")
        return None

    def wait(self) -> None:
        """Until the result is there, however long it takes."""
        self._worker.join()

    def _heard(self, take: Take) -> SoundTake:
        return hear_take_sound(take, self._told)

    def _told(self, share: float) -> None:
        self.share = share


@dataclass(frozen=True, slots=True)
class OpenedSound:
    """The sound file of a take that can be played back, and its rate."""

    path: Path
    rate_hz: int

    def beside(self, state: TakeState, gain: float) -> RecordedSound:
        """The sound as a player sounds it in place of the `heard_schedule` of a take. gain: see `playback_gain`."""
        return RecordedSound(
            partial(mono_blocks_from, self.path),
            self.rate_hz,
            state.begin_s - state.take.sound_begins_s,
            state.slow_down,
            gain,
        )


def playback_gain(state: TakeState) -> float:
    """How many times louder than it lies in its file a recording is played: so that its greatest sample is 1, within
    limits; once, as long as it was not heard, since nobody knows its greatest sample before."""
    greatest = state.by_sound.greatest if state.by_sound else 1.0
    return min(MOST_GAIN, 1.0 / greatest) if greatest > 0.0 else 1.0


def opened_sound(take: Take) -> OpenedSound | None:
    """The sound of a take; None where it has none, or where that cannot be read, which hearing it tells."""
    if take.sound is None:
        return None
    try:
        return OpenedSound(take.sound, open_sound(take.sound).rate_hz)
    except UserError:
        return None
