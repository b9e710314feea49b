"""Computes where header, lanes and footer of the playing screen stand in a window of a given size."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from companion.window.core.display import Print
from companion.window.core.marks import Rect
from companion.window.core.page import Page
from fingering.acoustics.sounding import reference_chanter
from fingering.holes import Finger

LEAST_LANES_LINES = 5.0  # in the smallest of windows the words below give way, never the chanter
NOW_SHARE = 0.335  # where in the width the chanter, and so the present, stands
TUBE_MM = 15.0  # outer width of the chanter as drawn
FINGER_MM = 11.6  # a fingertip, a little less than the closest two holes are apart
FINGER_REACH_MM = 30.0
HOLE_MM = 3.3  # radius, larger than life so that a hall can read it
LANE_PX_PER_WIDTH_S = 0.33  # the lanes show the width of the window in some 3 s at slow-down 1


@dataclass(frozen=True, slots=True)
class Layout:
    """The places of the playing screen, in pixels; `mm` is how many pixels one millimetre of the chanter takes."""

    page: Page
    width: int
    header: Rect
    lanes: Rect
    foot_y: float
    names_y: float
    notes_y: float
    beats_y: float
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


def lay_out(
    page: Page,
    footer_rows: int,
    print_size: Print,
    header_lines: int = 1,
    foot_lines: float = 0.0,
) -> Layout:
    """Place header, lanes and footer; the lanes get the room that the words leave.

    header_lines: lines of text below the header's large one. foot_lines: lines of room to leave above the footer.
    """
    line, width = page.line, page.width
    header = Rect(page.margin, page.top, page.inner, page.title_height + header_lines * line)
    footer = page.footer(footer_rows).on_pixels
    lanes_top = header.bottom + line * 2.0
    lanes_bottom = max(footer.y - line * (4.35 + foot_lines), lanes_top + line * LEAST_LANES_LINES)
    places_mm = [hole.position_mm for hole in reference_chanter().holes]
    mm = (lanes_bottom - lanes_top) / (places_mm[-1] - places_mm[0])
    lane_ys = tuple(lanes_top + (place_mm - places_mm[0]) * mm for place_mm in places_mm)
    zoom = 1.3 if print_size is Print.BIG else 1.0
    return Layout(
        page=page,
        width=width,
        header=header,
        lanes=Rect(0.0, lanes_top, float(width), lanes_bottom - lanes_top),
        foot_y=lanes_bottom + line * 1.55,
        names_y=lanes_bottom + line * 2.0,
        notes_y=lanes_bottom + line * 2.95,
        beats_y=lanes_bottom + line * 3.8,
        footer=footer,
        now_x=width * NOW_SHARE,
        mm=mm,
        lane_ys=lane_ys,
        px_per_s=width * LANE_PX_PER_WIDTH_S * zoom,
    )
