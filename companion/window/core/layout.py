"""Computes where header, lanes and footer of the playing screen stand in a window of a given size."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise
from types import MappingProxyType

from companion.window.core.display import Print
from companion.window.core.marks import Rect, Style
from companion.window.core.page import Page
from fingering.acoustics.sounding import reference_chanter
from fingering.holes import Finger

LEAST_CHANTER_SHARE = 0.5  # of the window's height: words give way before the chanter does
LEAST_LANES_LINES = 5.0  # in windows too small for that as well
ABOVE_CHANTER_LINES = 0.1  # between the header's words and the chanter
NOW_SHARE = 0.335  # where in the width the chanter, and so the present, stands
TUBE_MM = 15.0  # outer width of the chanter as drawn
FINGER_MM = 11.6  # a fingertip, a little less than the closest two holes are apart
FINGER_REACH_MM = 30.0
HOLE_MM = 3.3  # radius, larger than life so that a hall can read it
LANE_PX_PER_WIDTH_S = 0.33  # the lanes show the width of the window in some 3 s at slow-down 1
BELOW_LANES_LINES = 1.55  # from the lowest lane to the end of the chanter
ARROW_MM = MappingProxyType(
    {Print.NORMAL: 11.0, Print.BIG: 18.5}
)  # an arrow that a hall can see is larger than a finger
ARROW_AWAY_MM = 38.0  # from the middle of the chanter to the nearer side of an arrow
_KEPT = 32  # layouts that are remembered: those of a few screens in a few sizes


@dataclass(frozen=True, slots=True)
class LaneWords:
    """The words under the lanes: their type, and the y of their rows and of the beats, in lines below the chanter."""

    names: Style
    notes: Style
    names_lines: float
    notes_lines: float
    beats_lines: float
    lines: float


_ONE_ROW = LaneWords(Style.STRONG, Style.TEXT, 0.42, 0.42, 1.0, 1.22)  # notes' names give way to embellishments'
_SMALL_WORDS = LaneWords(Style.STRONG, Style.TEXT, 0.46, 1.38, 2.17, 2.55)
_LARGE_WORDS = LaneWords(Style.SECOND, Style.SECOND, 0.7, 2.1, 3.17, 3.55)


@dataclass(frozen=True, slots=True)
class Lines:
    """Lines of words that are wanted, and the `least` of them, which are had in any case."""

    wanted: float
    least: float

    def granted(self, free: float) -> float:
        """How many of them there are where `free` lines are left for those beyond the least."""
        return min(self.wanted, self.least + max(0.0, free))

    def if_room(self, free: float) -> float:
        """How many there are where they may give way: none where `free` lines are too few for the least."""
        return min(self.wanted, free) if free >= self.least else 0.0


NO_LINES = Lines(0.0, 0.0)
ONE_LINE = Lines(1.0, 1.0)


@dataclass(frozen=True, slots=True)
class Layout:
    """The places of the playing screen, in pixels; `mm` is how many pixels one millimetre of the chanter takes.

    ear: the lower part of the header, for what the ear has to say. staff: below the header, of no height where there is
    none. arrow: how large the arrow of a movement is.
    """

    page: Page
    width: int
    header: Rect
    ear: Rect
    staff: Rect
    lanes: Rect
    foot_y: float
    words: LaneWords
    arrow: float
    footer: Rect
    now_x: float
    mm: float
    lane_ys: tuple[float, ...]
    px_per_s: float

    @property
    def margin(self) -> float:
        """What stays free at the left and the right."""
        return self.page.margin

    @property
    def line(self) -> float:
        """Height of a line of text."""
        return self.page.line

    @property
    def chanter_top(self) -> float:
        """Where the chanter, as it is drawn, begins; it ends at `foot_y`."""
        return self.staff.bottom + self.line * ABOVE_CHANTER_LINES

    @property
    def header_lines(self) -> int:
        """How many lines of text have room below the header's large one, and above what the ear has to say."""
        return int((self.ear.y - self.header.y - self.page.title_height) / self.line + 0.01)

    @property
    def names_y(self) -> float:
        """The y of the embellishments' names, below the lanes."""
        return self.foot_y + self.line * self.words.names_lines

    @property
    def notes_y(self) -> float:
        """The y of the melody notes' names, below those of the embellishments."""
        return self.foot_y + self.line * self.words.notes_lines

    @property
    def beats_y(self) -> float:
        """The y of the beats, below all words of the lanes."""
        return self.foot_y + self.line * self.words.beats_lines

    @property
    def tube(self) -> float:
        """The chanter's width."""
        return TUBE_MM * self.mm

    @property
    def strokes_top(self) -> float:
        """Where strokes through all lanes begin, such as bar lines."""
        return self.lanes.y - self.line * 0.6

    @property
    def strokes_bottom(self) -> float:
        """Where strokes through all lanes end."""
        return self.lanes.bottom + self.line * 0.5

    def lane_y(self, finger: Finger) -> float:
        """Height of a finger's lane, which is that of its hole."""
        return self.lane_ys[finger]

    @property
    def lane(self) -> float:
        """How wide a lane is: the distance of the closest two holes."""
        return min(low - high for high, low in pairwise(self.lane_ys))


@lru_cache(maxsize=_KEPT)
def lay_out(
    page: Page,
    footer_rows: int,
    print_size: Print,
    header_lines: Lines = ONE_LINE,
    foot_lines: float = 0.0,
    ear_lines: Lines = NO_LINES,
    staff_lines: Lines = NO_LINES,
) -> Layout:
    """Place header, staff, lanes and footer; the chanter gets the room that the words leave, and at least half of all.

    So words have to fit in what they are granted. What is left beyond half of the height goes first to the staff, which
    has its least or nothing, then to the ear, then to the header, then, in big print, to larger words under the lanes.
    Where even the least has no room, those stand in one row. More than two rows of keys may take all of it in a small
    window, and then the chanter is smaller.

    header_lines: lines of text below the header's large one. foot_lines: lines of room to leave above the footer.
    ear_lines: those below the header's words for what the ear has to say. staff_lines: those of a staff below these.
    """
    line, width = page.line, page.width
    footer = page.footer(footer_rows).on_pixels
    bare = footer.y - page.top - page.title_height - page.height * LEAST_CHANTER_SHARE
    free = bare / line - ABOVE_CHANTER_LINES - foot_lines - header_lines.least - ear_lines.least - _SMALL_WORDS.lines
    tight = free < 0.0
    of_staff = staff_lines.if_room(free)
    free -= of_staff
    of_ear = ear_lines.granted(free)
    free -= of_ear - ear_lines.least
    of_header = header_lines.granted(free)
    free -= of_header - header_lines.least
    grown = print_size is Print.BIG and free >= _LARGE_WORDS.lines - _SMALL_WORDS.lines
    words = _LARGE_WORDS if grown else _ONE_ROW if tight else _SMALL_WORDS
    header = Rect(page.margin, page.top, page.inner, page.title_height + (of_header + of_ear) * line)
    staff = replace(header, y=math.ceil(header.bottom), height=of_staff * line)
    lanes_top = (staff.bottom if of_staff else header.bottom) + line * 2.0
    lanes_bottom = footer.y - line * (BELOW_LANES_LINES + words.lines + foot_lines)
    lanes_bottom = max(lanes_bottom, lanes_top + line * LEAST_LANES_LINES)
    places_mm = [hole.position_mm for hole in reference_chanter().holes]
    mm = (lanes_bottom - lanes_top) / (places_mm[-1] - places_mm[0])
    zoom = 1.3 if print_size is Print.BIG else 1.0
    return Layout(
        page=page,
        width=width,
        header=header,
        ear=Rect(header.x, header.bottom - of_ear * line, header.width, of_ear * line),
        staff=staff if of_staff else Rect(header.x, header.bottom, header.width, 0.0),
        lanes=Rect(0.0, lanes_top, float(width), lanes_bottom - lanes_top),
        foot_y=lanes_bottom + line * BELOW_LANES_LINES,
        words=words,
        arrow=ARROW_MM[print_size] * mm,
        footer=footer,
        now_x=width * NOW_SHARE,
        mm=mm,
        lane_ys=tuple(lanes_top + (place_mm - places_mm[0]) * mm for place_mm in places_mm),
        px_per_s=width * LANE_PX_PER_WIDTH_S * zoom,
    )
