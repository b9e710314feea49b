"""Tuplets and broken rhythm: what changes the length of notes that are read one after another."""

from __future__ import annotations

import re
from collections.abc import Callable

from companion.score.abc.lengths import MAX_TUPLET, broken_pair, tuplet_time
from companion.score.abc.problems import Problems
from companion.score.abc.written import WrittenNote
from companion.score.model import Meter
from companion.score.place import Place

_TUPLET = re.compile(r"\((\d+)(?::(\d*))?(?::(\d*))?")


class Rhythm:
    """Fits note lengths as notes come. While `waiting` is False, notes need not be shown to it."""

    def __init__(self, problems: Problems, doubt: Callable[[], None]) -> None:
        """`doubt` is called where the length of the bar at hand comes to say nothing."""
        self.waiting = False
        self._problems = problems
        self._doubt = doubt
        self._left = 0
        self._notes = self._time = 1
        self._long = False
        self._broken: tuple[WrittenNote, str] | None = None
        self._place: Place | None = None

    def begin_tuplet(self, text: str, place: Place, meter: Meter) -> None:
        """``(3``, ``(3:2``, ``(3:2:4``, ``(3::2``: the notes that follow share the time of others (section 4.13)."""
        match = _TUPLET.match(text)
        assert match is not None, text
        notes = int(match[1])
        time = int(match[2] or tuplet_time(notes, meter))
        span = int(match[3] or notes)
        if not (2 <= notes <= MAX_TUPLET and 1 <= time <= 2 * MAX_TUPLET and span):
            remedy = f"write (3 or another from (2 to ({MAX_TUPLET}"
            self._error(place, f"'{match[0]}' is no tuplet", remedy)
            return
        if self._left:
            self._error(place, "a tuplet begins within another", "end the one before it begins")
        self._left, self._notes, self._time, self._place = span, notes, time, place
        self._long = span > notes
        self.waiting = True

    def break_after(self, note: WrittenNote | None, mark: str, place: Place) -> None:
        """Broken rhythm: `mark` stands between `note` and the next one."""
        if note is None or self._broken:
            self._error(place, f"no note stands before '{mark}'", "write it between two notes")
            return
        self._broken = note, mark
        self.waiting = True

    def fit(self, note: WrittenNote) -> None:
        """Give `note`, and the one before a broken-rhythm mark, their lengths."""
        if self._left:
            note.ticks = note.ticks * self._time // self._notes
            self._left -= 1
        if self._broken:
            before, mark = self._broken
            if before.ticks != note.ticks:
                what = f"'{mark}' stands between notes of unequal length, which the standard leaves undefined"
                self._problems.warn(note.place, what, "write the lengths out")
            before.ticks, note.ticks = broken_pair(before.ticks, note.ticks, mark)
            self._broken = None
        self.waiting = self._left > 0

    def bar_line(self, place: Place) -> None:
        """A bar line comes: broken rhythm does not reach over it, nor does a plain tuplet."""
        if self._broken:
            self._error(place, f"no note follows '{self._broken[1]}' in its bar", "write it between two notes")
            self._broken = None
        if not self._long:
            self._end_tuplet()
        self.waiting = self._left > 0

    def finish(self, place: Place) -> None:
        """The tune is over."""
        self.bar_line(place)
        self._end_tuplet()

    def _end_tuplet(self) -> None:
        if self._left and self._place:
            missing = "1 note is" if self._left == 1 else f"{self._left} notes are"
            self._error(self._place, f"{missing} missing from this tuplet", "write what is missing")
        self._left = 0

    def _error(self, place: Place, what: str, remedy: str) -> None:
        self._problems.error(place, what, remedy)
        self._doubt()
