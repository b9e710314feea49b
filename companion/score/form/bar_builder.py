"""Collects notes and bar lines into the written bars of a tune."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from companion.files.lines import quoted
from companion.score.form.jumps import Jump
from companion.score.form.passes import MAX_PASSES, read_passes
from companion.score.form.problems import Problems
from companion.score.form.ticks import TICKS_PER_WHOLE, fraction_to_ticks
from companion.score.form.written import WrittenBar, rest_of
from companion.score.model import Meter, Tempo
from companion.score.place import Place
from companion.score.problems import ProblemKind

MOST_REST_BARS = 500
"""Bars of rest that one sign may ask for: more than any part that a piper counts."""

MOST_METRES = 256
"""How many times its metre a bar may last: a whole tune of eight parts without bar lines still fits."""

MOST_BARS = 5_000
"""Bars that a tune may have: a hundred times a long march."""

MOST_NOTES = 50_000
"""Notes that a tune may have."""

MOST_NOTES_IN_BAR = 4_000
"""Notes that a bar may hold, however short: a whole tune without bar lines and with its repeats written out."""


@dataclass(frozen=True, slots=True)
class BarLine:
    """What a bar line says.

    closes, opens: how often the stretch to its left and right is played (0: no repeat). double: whether it is a double
    or thick line, which ends a part. ends_ending: whether a bracket closes an ending. line: whether there is a line at
    all, and not a lone bracket. ending: the repetitions on which the ending that begins here is played, as written.
    """

    closes: int
    opens: int
    double: bool
    ends_ending: bool
    line: bool
    ending: str


class InForce(Protocol):
    """What is in force where a bar begins."""

    @property
    def meter(self) -> Meter:
        """The metre."""

    @property
    def tempo(self) -> Tempo | None:
        """The tempo, None where none was given."""


class TuneTooLong(Exception):
    """Raised where a tune has more bars, notes or words than the limits allow; what follows is not read."""


class BarBuilder:
    """Builds the written bars of a tune. A repeat, an ending or a label waits until the first note of its bar comes."""

    def __init__(self, in_force: InForce, problems: Problems) -> None:
        self.bars: list[WrittenBar] = []
        self.open: WrittenBar | None = None
        self.lines = 0
        self.jumps: list[Jump] = []
        self.notes = 0
        self._in_force = in_force
        self._problems = problems
        self._opens = 0
        self._ending: tuple[int, ...] = ()
        self._last_pass = 0
        self._in_ending = False
        self._label: str | None = None
        self._doubtful = False

    def begin(self, place: Place) -> WrittenBar:
        """Open a new bar, whose first note stands at `place`. Raises TuneTooLong."""
        if len(self.bars) >= MOST_BARS or self.notes > MOST_NOTES:
            raise TuneTooLong
        now = self._in_force
        bar = WrittenBar(now.meter, now.tempo, place, self._opens, self._ending, self._label)
        bar.doubtful = self._doubtful
        self._opens, self._ending, self._label, self._doubtful = 0, (), None, False
        self.open = bar
        self.bars.append(bar)
        return bar

    def full(self, place: Place) -> bool:
        """Whether the open bar has reached a limit and takes no more notes; reported once.

        It adds up the bar, so ask now and then only.
        """
        bar = self.open
        if bar is not None and bar.overfull:
            return True
        if bar is None or (len(bar.notes) < MOST_NOTES_IN_BAR and not self._lasts_too_long(bar)):
            return False
        bar.overfull = bar.doubtful = True
        what = f"the bar that begins at {bar.place.line}:{bar.place.column} is beyond measure, so its rest is left out"
        self._problems.add(ProblemKind.BAR_BEYOND_MEASURE, place, what, "write the bar lines")
        return True

    def _lasts_too_long(self, bar: WrittenBar) -> bool:
        length = bar.meter.bar_length
        return bar.ticks > MOST_METRES * (fraction_to_ticks(length) if length else TICKS_PER_WHOLE)

    def close(self) -> None:
        """Close the open bar with a plain bar line."""
        self.open = None
        self.lines += 1

    def bar_line(self, line: BarLine, place: Place) -> bool:
        """Close the open bar with a bar line, or an ending with its bracket; returns whether anything was open."""
        if not line.line:
            return self._lone_bracket()
        self.open = None
        self.lines += 1
        if line.closes:
            self._close_repeat(line.closes, place)
        if line.ends_ending:
            self._end_ending()
        if self.bars and line.double:
            self.bars[-1].double = True
        if line.opens:
            self._opens = min(line.opens, MAX_PASSES)
        if line.ending:
            self.ending(line.ending, place)
        return True

    def _lone_bracket(self) -> bool:
        """Close the ending and the bar with a bracket; what follows is played on every repetition again."""
        closes = self._in_ending
        self._end_ending()
        if closes:
            self.open = None
        return closes

    def _end_ending(self) -> None:
        if self._in_ending and self.bars:
            self.bars[-1].ends_ending = True
        self._in_ending = False

    def _close_repeat(self, plays: int, place: Place) -> None:
        if not self.bars:
            what = "nothing stands before this repeat"
            self._problems.add(ProblemKind.REPEAT_OF_NOTHING, place, what, "take the repeat sign out")
            return
        self.bars[-1].closes = max(self.bars[-1].closes, min(plays, MAX_PASSES))

    def ending(self, text: str, place: Place) -> None:
        """Begin an ending on the repetitions that `text` names: ``1``, ``1,3``, ``2nd time`` (ABC 2.1 section 4.10)."""
        self.open = None
        passes = read_passes(text, self._last_pass)
        if not passes:
            what = f"{quoted(text)} numbers no ending that can be played"
            remedy = f"number endings from 1 to {MAX_PASSES}"
            self._problems.add(ProblemKind.ENDING_UNREADABLE, place, what, remedy)
        self._ending = passes
        self._last_pass = max(passes, default=0)
        self._in_ending = bool(passes)

    @property
    def ending_begins(self) -> bool:
        """Whether an ending begins with the next note."""
        return bool(self._ending)

    def label(self, text: str) -> None:
        """Begin a part of that label with the next bar."""
        self.open = None
        self._label = text

    def rest_bars(self, count: int, place: Place) -> None:
        """Add `count` whole bars of rest (``Z4``), as one written bar that counts for all of them."""
        if self.open is not None:
            what = "a rest of whole bars stands within a bar"
            self._problems.add(ProblemKind.REST_WITHIN_BAR, place, what, "put a bar line before it")
            self.open.doubtful = True
        if not 1 <= count <= MOST_REST_BARS:
            remedy = f"write a count from 1 to {MOST_REST_BARS}"
            self._problems.add(
                ProblemKind.REST_BEYOND_MEASURE, place, f"a rest of {count} bars cannot be played", remedy
            )
            count = 1
        length = self._in_force.meter.bar_length
        ticks = fraction_to_ticks(length) if length else TICKS_PER_WHOLE
        bar = self.begin(place)
        bar.counts_for = count
        bar.add(rest_of(self.notes, ticks * count, place), ticks * count)
        self.notes += 1
        self.open = None

    def end_phrase(self) -> None:
        """End a phrase after the open bar, or after the bar before where the open one has no note yet."""
        bar = self.open or (self.bars[-1] if self.bars else None)
        if bar is not None:
            bar.ends_phrase = True

    def jump(self, name: str, place: Place) -> None:
        """Note a mark that sends the player elsewhere, after the open bar."""
        self.jumps.append(Jump(name, place, max(0, len(self.bars) - 1)))

    def doubt(self) -> None:
        """Mark the open bar as one of which something could not be read."""
        if self.open is None:
            self._doubtful = True
        else:
            self.open.doubtful = True
