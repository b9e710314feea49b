"""Where the tune of a take may be: at hand, in the file that it names, beside it, beside the tune that is open."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from companion.files.places import on_this_computer
from companion.hearing.takes.recordings import RecordingFile
from companion.midi.takes.heading import TuneIdentity, content_hash
from companion.score.formats.books import read_tunes
from companion.score.formats.kinds import READABLE
from companion.score.model import Tune
from fingering.errors import UserError

MOST_FILES = 60
MOST_BYTES = 1_000_000
"""The files, and their bytes in all, that are looked through for the tune that was played: some 1,500 tunes, which
takes seconds. A file that has the recording's name, and one that a take names, is read however large it is."""

MOST_ENTRIES = 5_000

_ENDINGS = frozenset(ending for each in READABLE for ending in each.endings)


@dataclass(frozen=True, slots=True)
class TunesNear:
    """The tunes that are at hand, of which the first is open, and further files in which a take's tune may stand.

    All that reads files is for another thread than the window's. Files that cannot be read hold no tunes.
    """

    tunes: tuple[Tune, ...]
    files: tuple[Path, ...] = ()

    def of_identity(self, wanted: TuneIdentity) -> Tune | None:
        """The tune with the very same notes: at hand, in the file that the take names, in the further files."""
        named = (Path(wanted.file),) if on_this_computer(wanted.file) and os.path.isfile(wanted.file) else ()
        tunes = (tune for path in (None, *named, *self.files) for tune in (tunes_of(path) if path else self.tunes))
        return next((tune for tune in tunes if content_hash(tune) == wanted.content), None)

    def of_recording(self, path: Path) -> Tune:
        """The tune that a recording lies beside: that of a file with its name, or of the only file of tunes in its
        folder; else the one that is open. Of several tunes in that file it is the open one if that is among them."""
        beside = tune_file_beside(path, tune_files_in(path.parent))
        tunes = [*tunes_of(beside)] if beside else []
        if not tunes:
            return self.tunes[0]
        is_open = self.tunes[0] if any(each.place == self.tunes[0].place for each in tunes) else None
        return is_open or tunes[0]

    def others(self, path: Path | None) -> Iterator[Tune]:
        """Yield all tunes that may have been played: those at hand, then those of the folders of a recording and of the
        tune that is open, as far as they are looked through. path: of the recording, None for none."""
        yield from self.tunes
        source = self.tunes[0].place.source
        home = [Path(source).parent] if source and on_this_computer(source) and os.path.exists(source) else []
        folders = dict.fromkeys((*([path.parent] if path else ()), *home))
        left, at_hand = MOST_BYTES, {each.place.source for each in self.tunes}
        for file in islice((each for folder in folders for each in tune_files_in(folder)), MOST_FILES):
            if str(file) in at_hand:
                continue
            left -= _size_of(file)
            if left < 0:
                return
            yield from tunes_of(file)


def tune_files_beside(recordings: Sequence[RecordingFile]) -> list[Path | None]:
    """For each recording the file of tunes that it lies beside, None for none; each folder is looked at once."""
    files = {folder: tune_files_in(folder) for folder in {each.path.parent for each in recordings}}
    return [tune_file_beside(each.path, files[each.path.parent]) for each in recordings]


def tune_file_beside(recording: Path, files: Sequence[Path]) -> Path | None:
    """The file of tunes, of those in its folder, that has a recording's name but for the ending, else the only one."""
    named = [each for each in files if each.stem == recording.stem]
    return named[0] if named else files[0] if len(files) == 1 else None


def tune_files_in(folder: Path) -> list[Path]:
    """The files of tunes in a folder, by name; none where it cannot be read."""
    try:
        with os.scandir(folder) as entries:
            looked_at = [Path(each.path) for each in islice(entries, MOST_ENTRIES)]
    except OSError:
        return []
    return sorted(each for each in looked_at if each.suffix.lower() in _ENDINGS and not each.name.startswith("."))


def tunes_of(path: Path) -> Sequence[Tune]:
    """The tunes of a file that can be played; none of one that cannot be read."""
    with suppress(UserError):
        return [tune for tune in read_tunes(path).tunes if tune.order]
    return ()


def _size_of(path: Path) -> int:
    try:
        return path.stat().st_size
    except OSError:
        return MOST_BYTES
