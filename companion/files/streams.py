"""Standard output and error that take every letter, and that report where what is printed cannot arrive."""

from __future__ import annotations

import codecs
import contextlib
import io
import os
import sys
from collections.abc import Iterator

from fingering.errors import UserError

ESCAPED = "eightholes-escaped"
"""The error handler for letters that a terminal's encoding lacks: ``\\u2026``, which JSON reads back as well."""


def _escape(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    units = error.object[error.start : error.end].encode("utf-16-be", "surrogatepass")
    pairs = (units[i : i + 2] for i in range(0, len(units), 2))
    return "".join(f"\\u{int.from_bytes(pair, 'big'):04x}" for pair in pairs), error.end


_replaced: list[io.TextIOWrapper] = []
"""The streams of before: one that is thrown away would close what it shares with the one that took its place."""

codecs.register_error(ESCAPED, _escape)


class OutputStream(io.TextIOWrapper):
    """Standard output. Raises UserError where it cannot be written.

    A broken pipe is passed on as it is: whoever reads has read enough.
    """

    def write(self, text: str) -> int:
        """Write a text."""
        with self._told():
            return super().write(text)

    def flush(self) -> None:
        """Send what was written on its way."""
        with self._told():
            super().flush()

    @contextlib.contextmanager
    def _told(self) -> Iterator[None]:
        try:
            yield
        except BrokenPipeError:
            self._give_up()
            raise
        except OSError as error:
            self._give_up()
            why = (error.strerror or str(error)).lower()
            raise UserError(f"standard output cannot be written ({why})", "send it to another place") from None

    def _give_up(self) -> None:
        """Drop what could not be sent, or Python would try again at its end and report it in its own words."""
        with contextlib.suppress(OSError, ValueError):
            nowhere = os.open(os.devnull, os.O_WRONLY)
            os.dup2(nowhere, self.fileno())
            os.close(nowhere)


class ErrorStream(io.TextIOWrapper):
    """Standard error. Where it cannot be written there is nobody to tell, and the work goes on."""

    def write(self, text: str) -> int:
        """Write what can be written."""
        with contextlib.suppress(OSError):
            super().write(text)
        return len(text)

    def flush(self) -> None:
        """Send what can be sent."""
        with contextlib.suppress(OSError):
            super().flush()


def prepare_streams() -> None:
    """Replace the program's standard streams by these. For the program as a whole, not for its parts."""
    if os.name == "posix":
        _open_closed_streams()
    if sys.stderr is None:  # where Windows runs a program without a console there is nobody to tell
        sys.stderr = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115
    for name, kind in (("stdout", OutputStream), ("stderr", ErrorStream)):
        plain = getattr(sys, name)
        if isinstance(plain, io.TextIOWrapper):  # none where Windows runs a program without a console
            made = kind(plain.buffer, plain.encoding, ESCAPED, line_buffering=plain.line_buffering)
            setattr(sys, name, made)
            _replaced.append(plain)


def _open_closed_streams() -> None:
    """Open every standard stream that was closed, or the next file opened would get its number.

    Standard output gets one that cannot be written, so that it is reported where something is printed.
    """
    for number, mode in ((0, os.O_RDONLY), (1, os.O_RDONLY), (2, os.O_WRONLY)):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, mode)  # the system gives the lowest number that is free
    if sys.stdout is None:
        sys.stdout = open(1, "w", encoding="utf-8", closefd=False)  # noqa: SIM115
    if sys.stderr is None:
        sys.stderr = open(2, "w", encoding="utf-8", closefd=False, buffering=1)  # noqa: SIM115


def standard_error_is_watched() -> bool:
    """Whether somebody sits at a terminal who sees standard error, so that a line there may be written over."""
    return sys.stderr is not None and sys.stderr.isatty()


@contextlib.contextmanager
def quiet_libraries() -> Iterator[None]:
    """Keep what C libraries write to standard error off the terminal; the error that follows says it in one line."""
    try:
        if sys.stderr is not None:
            sys.stderr.flush()
        kept = os.dup(2)
    except (OSError, ValueError):  # it is closed, so nothing of theirs is seen either
        yield
        return
    try:
        with open(os.devnull, "wb") as nowhere:
            os.dup2(nowhere.fileno(), 2)
        yield
    finally:
        os.dup2(kept, 2)
        os.close(kept)
