"""Where the chanter, the list, the players and the words of a class stand in a window of a given size.

What has no room gives way in this order: the staff, the note's name below the chanter and the row of gracenotes, in low
windows; the list at the side; the players' chanters, of which names are left; the players. The chanter never has less
than half of the height.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from companion.window.core.display import Print
from companion.window.core.layout import (
    ARROW_AWAY_MM,
    ARROW_MM,
    FINGER_REACH_MM,
    LEAST_CHANTER_SHARE,
    NO_LINES,
    LaneWords,
    Layout,
    Lines,
)
from companion.window.core.marks import Measure, Rect, Style
from companion.window.core.page import Page
from fingering.acoustics.sounding import reference_chanter

FIRST_HOLE_SHARE, LAST_HOLE_SHARE = 0.085, 0.885
"""Where on the chanter as drawn its first and its last hole lie, in shares of its length."""

LIFTED_REACH = 1.6
"""A raised finger draws back: it reaches so many of its lengths away from its hole."""

FINGERS_MM = FINGER_REACH_MM * LIFTED_REACH

LIST_LINES, PLAYERS_LINES = 10.0, 15.0
"""The list and the players are at most so wide, in lines; what is left lets the lanes flow in."""

LIST_SHARE = 0.45
LEAST_LIST_LINES, LEAST_PLAYERS_LINES = 6.5, 6.0
GAP_LINES = 0.8
ROW_LINES = 1.3
STAFF_GAP_LINES = 0.2
STRIP_SHARE = 0.2
"""The share of the width that the strip of an embellishment takes at the right of its name."""

_NO_WORDS = LaneWords(Style.STRONG, Style.TEXT, 0.0, 0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True)
class ClassLayout:
    """The places, in pixels; None for what has given way, no height for a staff that has.

    title: for the name of the embellishment in hand. spelled_y: of the row of its gracenotes. band: where the lanes
    flow, around the chanter. note_y: of the note's name.
    """

    page: Page
    footer: Rect
    title: Rect
    strip: Rect
    spelled_y: float | None
    staff: Rect
    band: Rect
    chanter: Layout
    note_y: float | None
    list: Rect | None
    players: Rect | None


def _holes_mm() -> tuple[float, ...]:
    places = [hole.position_mm for hole in reference_chanter().holes]
    return tuple(place - places[0] for place in places)


def mm_of(length: float) -> float:
    """How many pixels a millimetre takes where the chanter is so long."""
    return length * (LAST_HOLE_SHARE - FIRST_HOLE_SHARE) / _holes_mm()[-1]


def reach_mm(print_size: Print) -> float:
    """How far fingers, raised ones too, and arrows reach to either side of a chanter's middle."""
    return max(FINGERS_MM, ARROW_AWAY_MM + ARROW_MM[print_size])


def chanter_within(area: Rect, page: Page, footer: Rect, print_size: Print) -> Layout:
    """A chanter as long as an area is high, upright in its middle, with its fingers: large and small ones alike."""
    mm = mm_of(area.height)
    lanes_top = area.y + area.height * FIRST_HOLE_SHARE
    lane_ys = tuple(lanes_top + place * mm for place in _holes_mm())
    above = Rect(area.x, area.y - page.line * 0.1, area.width, 0.0)
    return Layout(
        page=page,
        width=page.width,
        header=above,
        ear=above,
        staff=above,
        lanes=Rect(area.x, lanes_top, area.width, lane_ys[-1] - lanes_top),
        foot_y=area.bottom,
        words=_NO_WORDS,
        arrow=ARROW_MM[print_size] * mm,
        footer=footer,
        now_x=area.x + area.width / 2,
        mm=mm,
        lane_ys=lane_ys,
        px_per_s=page.width * 0.33,
    )


def lay_out_class(
    page: Page, footer: Rect, print_size: Print, measure: Measure, staff_lines: Lines = NO_LINES
) -> ClassLayout:
    """The places in a window whose keys stand in `footer`. staff_lines: those wanted for a staff, in lines of text."""
    line, least = page.line, page.height * LEAST_CHANTER_SHARE
    top = page.top + page.title_height
    bottom = footer.y - line * 0.2
    note = bottom - top - least >= line * ROW_LINES
    bottom -= line * ROW_LINES if note else 0.0
    spelled = bottom - top - least >= line * ROW_LINES
    top += line * ROW_LINES if spelled else 0.0
    of_staff = staff_lines.if_room((bottom - top - least) / line - STAFF_GAP_LINES) * line
    staff = Rect(page.margin, math.ceil(top), page.inner, of_staff)
    top += of_staff + STAFF_GAP_LINES * line if of_staff else 0.0
    top = min(top, bottom - least)
    free = page.inner - line * 2 * GAP_LINES
    sides = LEAST_LIST_LINES + LEAST_PLAYERS_LINES
    reach = reach_mm(print_size)
    wished = (free - sides * line) / (2 * reach * mm_of(1.0))
    length = min(bottom - top, max(least, wished))
    length = min(length, max(least, free / (2 * reach * mm_of(1.0))))
    chanter_top = top + (bottom - top - length) / 2
    rest = free - 2 * reach * mm_of(length)
    list_wide = min(LIST_LINES * line, rest * LIST_SHARE) if rest >= sides * line else 0.0
    players_wide = min(PLAYERS_LINES * line, rest - list_wide)
    if players_wide < LEAST_PLAYERS_LINES * line:
        players_wide = 0.0
    left = page.margin + (list_wide + GAP_LINES * line if list_wide else 0.0)
    right = page.margin + page.inner - (players_wide + GAP_LINES * line if players_wide else 0.0)
    band = Rect(left, chanter_top, right - left, length)
    strip_wide = page.inner * STRIP_SHARE
    high = page.title_height * 0.62
    return ClassLayout(
        page=page,
        footer=footer,
        title=Rect(page.margin, page.top, page.inner - strip_wide - line, page.title_height),
        strip=Rect(page.margin + page.inner - strip_wide, page.title_y - high / 2, strip_wide, high),
        staff=staff,
        spelled_y=page.words_y(page.top + page.title_height) if spelled else None,
        band=band,
        chanter=chanter_within(band, page, footer, print_size),
        note_y=bottom + line * ROW_LINES / 2 if note else None,
        list=Rect(page.margin, top, list_wide, bottom - top) if list_wide else None,
        players=Rect(right + GAP_LINES * line, top, players_wide, bottom - top) if players_wide else None,
    )
