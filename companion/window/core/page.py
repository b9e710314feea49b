"""The measures that all screens share: the margin, lines of words, the large line at the top, the keys at the foot."""

from __future__ import annotations

from dataclasses import dataclass

from companion.window.core.marks import Measure, Rect, Style

LEAST_MARGIN_PX = 14.0
LEAST_TARGET_PX = 44.0  # W3C, WCAG 2.2, success criterion 2.5.5, Target Size (Enhanced)
MARGIN_SHARE = 0.026  # of the width
TOP_SHARE = 0.35  # of the edge, above the large line
FOOT_SHARE = 0.4  # of the edge, below the keys
EDGE_SHARE, EDGE_LESS_PX = 0.085, 24.0  # the edge is no more than that share of the height, less so many pixels
TITLE_SHARE = 0.92  # of a line of large type: no other such line follows, so the next words may come closer
MIDDLE_LINES = 0.42  # how far below its top the words of a line stand
ASIDE_LINES = 0.75  # how far below the top of the page words beside the large line stand


@dataclass(frozen=True, slots=True)
class Page:
    """A window of `width` x `height` pixels; `line` and `large` are the heights of a line of text and of large type."""

    width: int
    height: int
    line: float
    large: float
    row: float

    @classmethod
    def of(cls, width: int, height: int, measure: Measure) -> Page:
        """The measures of a window of that size."""
        return cls(width, height, measure.height(Style.TEXT), measure.height(Style.LARGE), footer_row_height(measure))

    @property
    def margin(self) -> float:
        """What stays free at the left and the right."""
        return max(LEAST_MARGIN_PX, self.width * MARGIN_SHARE)

    @property
    def edge(self) -> float:
        """What stays free above and below, in shares: the margin, but in a low, wide window the chanter needs it."""
        return min(self.margin, max(LEAST_MARGIN_PX, self.height * EDGE_SHARE - EDGE_LESS_PX))

    @property
    def inner(self) -> float:
        """The width between the margins."""
        return self.width - 2 * self.margin

    @property
    def top(self) -> float:
        """Where the large line begins."""
        return self.edge * TOP_SHARE

    @property
    def title_height(self) -> float:
        """The room that the large line takes where words belong to it."""
        return self.large * TITLE_SHARE

    @property
    def title_y(self) -> float:
        """The y of the large line's words."""
        return self.top + self.title_height / 2

    @property
    def body_top(self) -> float:
        """Where what is no part of the title may begin."""
        return self.top + self.large

    def below_title(self, rank: int = 0) -> float:
        """The y of the words of a line below the large one, counted from 0."""
        return self.words_y(self.top + self.title_height, rank)

    def beside_title(self, rank: int = 0) -> float:
        """The y of the words of a line beside the large one, counted from 0."""
        return self.top + self.line * (ASIDE_LINES + rank)

    def words_y(self, top: float, rank: int = 0) -> float:
        """The y of the words of a line, counted from 0, of those that begin at `top`."""
        return top + self.line * (MIDDLE_LINES + rank)

    def footer(self, rows: int) -> Rect:
        """The place of so many rows of keys."""
        height = rows * self.row
        return Rect(self.margin, self.height - height - self.edge * FOOT_SHARE, self.inner, height)


def footer_row_height(measure: Measure) -> float:
    """Height of one row of keys: a line with room around it, and never too small to be hit by a finger."""
    return float(max(LEAST_TARGET_PX, round(measure.height(Style.TEXT) * 1.28)))
