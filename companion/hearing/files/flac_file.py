"""Writes a recording as FLAC while it is made, so that a program which is killed loses a fifth of a second of it."""

from __future__ import annotations

import contextlib
import os
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from companion.files.lines import one_line
from companion.hearing.files.library import sound_library
from fingering.errors import UserError

_FULL_SCALE = 32768  # by which libsndfile divides what it reads
_RIGHTS = 0o666  # as every program asks for; the user's umask takes from it


class FlacFile:
    """A mono FLAC file of 16 bits that is being written, under the name that it keeps.

    libsndfile hands each frame of 4,096 samples to the system as soon as it is full. Only its header, without which it
    can be read as well, is written again at the end. Raises UserError where the name is taken or cannot be written.
    """

    def __init__(self, path: Path, rate_hz: int) -> None:
        library = sound_library()
        self._place = one_line(str(path))
        self._errors = (library.SoundFileError, OSError, AssertionError)  # the last where not all could be written
        flags = os.O_RDWR | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0) | getattr(os, "O_CLOEXEC", 0)
        try:
            self._number = os.open(path, flags, _RIGHTS)
        except FileExistsError:
            raise UserError("this file is there already", "choose another name", self._place) from None
        except (OSError, ValueError) as error:
            raise self._unwritten(error) from None
        try:
            self._file = library.SoundFile(self._number, "w", rate_hz, 1, "PCM_16", format="FLAC", closefd=False)
        except self._errors as error:
            os.close(self._number)
            raise self._unwritten(error) from None

    def write(self, samples: NDArray[np.float32]) -> None:
        """Write samples of -1 to 1; what is louder is cut. Raises UserError where the disk takes no more."""
        try:
            self._file.write(np.clip(np.rint(samples * _FULL_SCALE), -_FULL_SCALE, _FULL_SCALE - 1).astype(np.int16))
        except self._errors as error:
            raise self._unwritten(error) from None

    def close(self) -> None:
        """Write what is left, and how long it is. Raises UserError where the disk takes no more; it is closed then."""
        try:
            self._file.close()
            os.fsync(self._number)
        except self._errors as error:
            raise self._unwritten(error) from None
        finally:
            with contextlib.suppress(OSError):
                os.close(self._number)

    def _unwritten(self, error: BaseException) -> UserError:
        why = (getattr(error, "strerror", None) or "the disk takes no more").lower()
        return UserError(
            f"this recording cannot be written ({why})", "make room, or choose another folder", self._place
        )
