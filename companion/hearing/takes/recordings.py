"""Hears recordings, each once: what was heard is kept in the program's cache."""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterator, Set
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from companion.files.kept_json import FIRST_YEAR, LAST_YEAR
from companion.files.lines import one_line
from companion.files.reading import read_limited
from companion.hearing.files.sound_file import open_sound
from companion.hearing.hear import SoundBlocks, hear
from companion.hearing.kept_voice import MOST_BYTES, voice_from_bytes
from companion.hearing.takes.endings import SOUND_ENDINGS
from companion.hearing.takes.kept_hearing import KeptHearing, keep_hearing, kept_path, read_hearing
from companion.midi.takes.reading import SOUND_SUFFIX, SUFFIX, voice_beside
from fingering.errors import UserError

MOST_LISTED = 100
_OF_A_TAKE = re.compile(r"\d{4}-\d{2}-\d{2} \d{2}-\d{2}-\d{2} ")
"""How the names of takes begin."""


@dataclass(frozen=True, slots=True)
class RecordingFile:
    """A recording in a folder. began: when its file was written last, with the time zone of UTC."""

    path: Path
    began: datetime


def recordings_in(folder: Path, endings: Set[str] = SOUND_ENDINGS) -> tuple[RecordingFile, ...]:
    """The recordings of a folder, the latest first; none where it cannot be read.

    What lies beside a take is its sound, and what is named as that would be and lost its take is nothing any more.
    """
    found: list[RecordingFile] = []
    try:
        with os.scandir(folder) as entries:
            for entry in entries:
                path = Path(entry.path)
                if path.suffix.lower() in endings and entry.is_file() and not _is_of_a_take(path):
                    found.append(RecordingFile(path, written_at(path)))
    except OSError:
        return ()
    return tuple(sorted(found, key=lambda each: each.began, reverse=True)[:MOST_LISTED])


def _is_of_a_take(path: Path) -> bool:
    return path.suffix == SOUND_SUFFIX and (bool(_OF_A_TAKE.match(path.name)) or path.with_suffix(SUFFIX).exists())


def written_at(path: Path) -> datetime:
    """When a file was written last; 1970 where that cannot be told or is no date."""
    try:
        written = datetime.fromtimestamp(path.stat().st_mtime, UTC)
    except (OSError, OverflowError, ValueError):
        return datetime.fromtimestamp(0, UTC)
    return written if FIRST_YEAR <= written.year <= LAST_YEAR else datetime.fromtimestamp(0, UTC)


def voice_of_sound(path: Path) -> bytes | None:
    """The voice that lies beside a sound file, by which its chanter was heard while it was played; None where there is
    none, or one that is spoilt: then the chanter is learnt of the sound alone."""
    beside = voice_beside(path)
    if not beside.is_file():
        return None
    try:
        data = read_limited(beside, MOST_BYTES, "delete it")
        voice_from_bytes(data)
    except UserError:
        return None
    return data


def hear_recording(path: str | Path, progress: Callable[[float], None] = lambda share: None) -> KeptHearing:
    """What is heard in a sound file, now or when it was heard before, by the voice that lies beside it if one does.
    progress: is told the share that was heard.

    Raises UserError, with the file's name, for what is no recording of a chanter.
    """
    path = Path(path)
    voice = voice_of_sound(path)
    place = kept_path(path, voice)
    kept = read_hearing(place) if place else None
    if kept is None:
        kept = _heard_now(path, progress, voice)
        if place:
            keep_hearing(place, kept)
    progress(1.0)
    return kept


def _heard_now(path: Path, progress: Callable[[float], None], voice: bytes | None) -> KeptHearing:
    meter = _Greatest(open_sound(path))
    try:
        heard = hear(meter.sound, progress, voice_from_bytes(voice) if voice else None)
    except UserError as error:
        raise UserError(error.what, error.remedy, error.where or one_line(str(path))) from None
    return KeptHearing(heard, meter.greatest)


class _Greatest:
    """A sound whose greatest sample is known once it was gone through. What is no number is passed over."""

    def __init__(self, sound: SoundBlocks) -> None:
        self.greatest = 0.0
        self.sound = replace(sound, blocks=lambda: self._measured(sound))

    def _measured(self, sound: SoundBlocks) -> Iterator[NDArray[np.float32]]:
        for block in sound.blocks():
            if block.size:
                level = np.abs(block)
                self.greatest = max(self.greatest, float(np.max(level, where=np.isfinite(level), initial=0.0)))
            yield block
