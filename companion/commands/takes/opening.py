"""Opens what --take names: a take of ours, another MIDI file, or a recording beside its tune."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from companion.commands.shared.playing_options import tune_list_of_take
from companion.commands.shared.progress import percent_shown
from companion.commands.shared.tune_list import TuneList, tune_list_for

if TYPE_CHECKING:
    from companion.hearing.takes.sound_take import SoundTake
    from companion.midi.takes.reading import Take


@dataclass(frozen=True, slots=True)
class OpenedTake:
    """A take, and the tunes that can be chosen, of which the first is the one that was played."""

    take: Take
    tunes: TuneList


def open_take_file(path: Path, name: str | None, number: int | None = None, transpose: int = 0) -> OpenedTake:
    """A take by its file. A recording is taken for one of the tune that is named by `name` and `number`, without a name
    for one of the file of tunes that lies beside it, else for free play. Raises UserError.
    """
    from companion.hearing.takes.endings import is_recording
    from companion.hearing.takes.sound_take import recorded_take
    from companion.midi.takes.reading import read_take

    if is_recording(path):
        named = name or _named_beside(path)
        tunes = tune_list_for(named, number, transpose)
        return OpenedTake(recorded_take(path, tunes.first if named else None), tunes)
    take = read_take(path)
    return OpenedTake(take, tune_list_of_take(take, name))


def _named_beside(recording: Path) -> str | None:
    """The file of tunes that a recording lies beside, as in the window's list of takes; None for none that is read."""
    from companion.window.takes.opening.tunes_near import tune_file_beside, tune_files_in, tunes_of

    beside = tune_file_beside(recording, tune_files_in(recording.parent))
    return str(beside) if beside and tunes_of(beside) else None


def heard_with_progress(take: Take) -> SoundTake | None:
    """A take heard in its sound, with a line that tells how far that is; None for one without sound. Raises UserError
    where nothing is heard in it, and nothing was told while it was played.
    """
    from companion.hearing.takes.sound_take import hear_take_sound
    from fingering.errors import UserError

    if take.sound is None:
        return None
    try:
        return hear_take_sound(take, percent_shown("hearing"))
    except UserError:
        if take.events:
            return None
        raise
