"""Builds the written bars of a tune from notes and bar lines."""

from __future__ import annotations

import re

from companion.files.lines import quoted
from companion.score.abc.lengths import TICKS_PER_WHOLE, fraction_to_ticks
from companion.score.abc.problems import Problems
from companion.score.abc.settings import Settings
from companion.score.abc.written import WrittenBar, WrittenNote
from companion.score.place import Place

MAX_REST_BARS = 500
MAX_PASSES = 64

_BAR_LINE = re.compile(r"\.?(:*)([\[\]|]*)(:*)([\d,-]*)")


class BarBuilder:
    """Bars as they are written. What stands at a bar's left is kept until its first note comes."""

    def __init__(self, settings: Settings, problems: Problems) -> None:
        self.bars: list[WrittenBar] = []
        self.open: WrittenBar | None = None
        self._settings = settings
        self._problems = problems
        self._opens = 0
        self._ending: tuple[int, ...] = ()
        self._label: str | None = None
        self._doubtful = False

    def begin(self, place: Place) -> WrittenBar:
        """Open a bar whose first note stands at `place`."""
        settings = self._settings
        bar = WrittenBar(settings.meter, settings.tempo, place, self._opens, self._ending, self._label)
        bar.doubtful = self._doubtful
        self._opens, self._ending, self._label, self._doubtful = 0, (), None, False
        self.open = bar
        self.bars.append(bar)
        return bar

    def bar_line(self, text: str, place: Place) -> None:
        """Close the open bar with a bar line: colons repeat, two lines or a thick one end a part, digits are passes."""
        self.open = None
        match = _BAR_LINE.match(text)
        assert match is not None, text
        before, line, after, ending = match.groups()
        if not line:  # :: stands for :||:
            before = after = before[: len(before) // 2]
        if before:
            self._close_repeat(len(before) + 1, place)
        if self.bars and line not in ("", "|"):
            self.bars[-1].double = True
        if after:
            self._opens = min(len(after) + 1, MAX_PASSES)
        if ending:
            self.ending(ending, place)

    def _close_repeat(self, plays: int, place: Place) -> None:
        if not self.bars:
            self._problems.warn(place, "nothing stands before this repeat", "take the repeat sign out")
            return
        self.bars[-1].closes = max(self.bars[-1].closes, min(plays, MAX_PASSES))

    def ending(self, text: str, place: Place) -> None:
        """The bars from here are played on some passes only: ``1``, ``1,3``, ``1-3`` (ABC 2.1 section 4.10)."""
        self.open = None
        passes: list[int] = []
        for part in text.split(","):
            first, _, last = part.partition("-")
            passes.extend(range(int(first), min(int(last or first), MAX_PASSES) + 1))
        good = tuple(sorted({each for each in passes if 1 <= each <= MAX_PASSES}))
        if not good:
            remedy = f"number endings from 1 to {MAX_PASSES}"
            self._problems.error(place, f"{quoted(text)} numbers no ending that can be played", remedy)
        self._ending = good

    def label(self, text: str) -> None:
        """A part begins here."""
        self.open = None
        self._label = text

    def rest_bars(self, count: int, place: Place) -> None:
        """``Z4``: whole bars of rest."""
        if self.open is not None:
            self._problems.error(place, "a rest of whole bars stands within a bar", "put a bar line before it")
            self.open.doubtful = True
        if not 1 <= count <= MAX_REST_BARS:
            remedy = f"write a count from 1 to {MAX_REST_BARS}"
            self._problems.error(place, f"a rest of {count} bars cannot be played", remedy)
            count = 1
        for _ in range(count):
            length = self._settings.meter.bar_length
            ticks = fraction_to_ticks(length) if length else TICKS_PER_WHOLE
            self.begin(place).notes.append(WrittenNote(None, ticks, (), place))
        self.open = None

    def end_phrase(self) -> None:
        """A phrase mark: it ends the bar that it stands in, or the one before where no note of this one has come."""
        bar = self.open or (self.bars[-1] if self.bars else None)
        if bar is not None:
            bar.ends_phrase = True

    def doubt(self) -> None:
        """Something of this bar could not be read."""
        if self.open is None:
            self._doubtful = True
        else:
            self.open.doubtful = True
