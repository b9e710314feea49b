"""Applies tuplets and broken rhythm to the lengths of notes as they are read."""

from __future__ import annotations

import re
from collections.abc import Callable

from companion.score.abc.music.lengths import MAX_TUPLET, broken_pair, tuplet_time
from companion.score.form.problems import Problems
from companion.score.form.written import WrittenBar
from companion.score.model import Meter
from companion.score.place import Place
from companion.score.problems import ProblemKind

_TUPLET = re.compile(r"\((\d+)(?::(\d*))?(?::(\d*))?")


class WrittenRhythm:
    """Turns written lengths into played ones. While `waiting` is False, notes need not be shown to it."""

    def __init__(self, problems: Problems, doubt: Callable[[], None]) -> None:
        """doubt: called where the length of the open bar can no longer be trusted."""
        self.waiting = False
        self._problems = problems
        self._doubt = doubt
        self._left = 0
        self._notes = self._time = 1
        self._long = False
        self._broken: tuple[WrittenBar, str] | None = None  # the bar whose last note it follows
        self._place: Place | None = None

    def begin_tuplet(self, text: str, place: Place, meter: Meter) -> None:
        """Begin a tuplet: ``(3``, ``(3:2``, ``(3:2:4`` or ``(3::2`` (ABC 2.1 section 4.13)."""
        match = _TUPLET.match(text)
        assert match is not None, text
        notes = int(match[1])
        time = int(match[2] or tuplet_time(notes, meter))
        span = int(match[3] or notes)
        if not (2 <= notes <= MAX_TUPLET and 1 <= time <= 2 * MAX_TUPLET and span):
            remedy = f"write (3 or another from (2 to ({MAX_TUPLET}"
            self._doubt_it(ProblemKind.TUPLET_UNREADABLE, place, f"'{match[0]}' is no tuplet", remedy)
            return
        if self._left and self._problems.first_time("nested tuplet"):
            what = "a tuplet begins within another"
            self._doubt_it(ProblemKind.TUPLET_UNFINISHED, place, what, "end the one before it begins")
        self._left, self._notes, self._time, self._place = span, notes, time, place
        self._long = span > notes
        self.waiting = True

    def break_after(self, bar: WrittenBar | None, mark: str, place: Place) -> None:
        """Note a broken-rhythm mark between the last note of `bar` and the next one."""
        if bar is None or not bar.notes or self._broken:
            what = f"no note stands before '{mark}'"
            self._doubt_it(ProblemKind.BROKEN_RHYTHM_ALONE, place, what, "write it between two notes")
            return
        self._broken = bar, mark
        self.waiting = True

    def fit(self, ticks: int, place: Place) -> int:
        """The length in ticks of a note written as `ticks`; mends the note before a broken-rhythm mark as well."""
        if self._left:
            ticks = ticks * self._time // self._notes
            self._left -= 1
        if self._broken:
            bar, mark = self._broken
            before = bar.lengths[-1]
            if before != ticks:
                what = f"'{mark}' stands between notes of unequal length, which the standard leaves undefined"
                self._problems.add(ProblemKind.BROKEN_RHYTHM_UNEVEN, place, what, "write the lengths out")
            before, ticks = broken_pair(before, ticks, mark)
            bar.set_length(len(bar.lengths) - 1, before)
            self._broken = None
        self.waiting = self._left > 0
        return ticks

    def bar_line(self, place: Place) -> None:
        """A bar line has come: end what does not reach over it, which is broken rhythm and a plain tuplet."""
        if self._broken:
            what = f"no note follows '{self._broken[1]}' in its bar"
            self._doubt_it(ProblemKind.BROKEN_RHYTHM_ALONE, place, what, "write it between two notes")
            self._broken = None
        if not self._long:
            self._end_tuplet()
        self.waiting = self._left > 0

    def finish(self, place: Place) -> None:
        """End the tune: report what is unfinished."""
        self.bar_line(place)
        self._end_tuplet()

    def _end_tuplet(self) -> None:
        if self._left and self._place:
            missing = "1 note is" if self._left == 1 else f"{self._left} notes are"
            what = f"{missing} missing from this tuplet"
            self._doubt_it(ProblemKind.TUPLET_UNFINISHED, self._place, what, "write what is missing")
        self._left = 0

    def _doubt_it(self, kind: ProblemKind, place: Place, what: str, remedy: str) -> None:
        self._problems.add(kind, place, what, remedy)
        self._doubt()
