"""Keeps what was learnt of a chanter by a microphone, in a small file for each microphone."""

from __future__ import annotations

import contextlib
import re
import zlib
from pathlib import Path

from companion.files.keeping import free_name
from companion.files.lines import one_line
from companion.files.reading import read_limited
from companion.files.writing import write_whole
from companion.midi.stream.port_names import stable_name
from companion.midi.takes.reading import VOICE_SUFFIX, voice_beside
from fingering.errors import UserError

FOLDER = "voices"
LARGEST_BYTES = 1_000_000
"""What is learnt of a chanter is some tens of kB."""

_LONGEST_SLUG = 40


def voice_path(folder: Path, microphone: str) -> Path:
    """The file for a microphone, below a data folder; names that differ in signs alone have files of their own."""
    name = stable_name(microphone)
    slug = re.sub(r"\W+", "-", name.casefold()).strip("-")[:_LONGEST_SLUG] or "microphone"
    return folder / FOLDER / f"{slug} {zlib.crc32(name.encode(errors='replace')):08x}{VOICE_SUFFIX}"


def read_voice(folder: Path, microphone: str) -> bytes | None:
    """What was kept, None for nothing. A file that cannot be understood is renamed; then UserError is raised."""
    path = voice_path(folder, microphone)
    if not path.exists():
        return None
    from companion.hearing.kept_voice import voice_from_bytes

    try:
        data = read_limited(path, LARGEST_BYTES, "see what it is")
        voice_from_bytes(data)
    except UserError as error:
        raise _set_aside(path, error.what) from None
    return data


def write_voice(folder: Path, microphone: str, voice: bytes) -> None:
    """Keep what was learnt, whole or not at all. Raises UserError."""
    path = voice_path(folder, microphone)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        what = f"your chanter's sound cannot be kept ({error.strerror})"
        raise UserError(what, "see that there is room and that the folder is yours", one_line(str(path))) from None
    write_whole(path, voice, force=True)


def keep_voice_beside(take: Path, voice: bytes) -> None:
    """Keep what a take was heard by beside it, so that a later hearing of its sound hears the same. Where the disk
    refuses, that learns of the sound alone."""
    with contextlib.suppress(UserError):
        write_whole(voice_beside(take), voice, force=True)


def _set_aside(path: Path, why: str) -> UserError:
    aside = free_name(path)
    what = f"what was learnt of your chanter's sound cannot be read ({why})"
    try:
        path.rename(aside)
    except OSError as error:
        return UserError(what, f"move that file: nothing can be kept before ({error.strerror})", one_line(str(path)))
    return UserError(what, f"it is learnt anew: the old file is kept as {one_line(aside.name)}", one_line(str(path)))
