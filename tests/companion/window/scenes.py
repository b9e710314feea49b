"""Playing screens for the window's tests: a real tune that holds every kind of movement, at real sizes."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from itertools import combinations

from companion.schedule.timing import Timing
from companion.score.abc import read_abc_text
from companion.score.model import Tune
from companion.window.core.display import Display, Print
from companion.window.core.marks import Anchor, Label, Measure, Picture, Rect
from companion.window.play.play_state import PlayState, first_state
from companion.window.play.play_view import PlayView
from companion.window.staff.staff_line import StaffSource
from tests.companion.window.lettered import lettering_for

SIZES = ((800, 600), (1280, 720), (1920, 1080))
PRINTS = tuple(Print)

ABC = """X:1
T:Nets on the Slip
M:4/4
L:1/8
Q:1/4=60
K:HP
A|{gef}e2 {g}a>e {gcd}c2 {Gdc}d>c|{GdGe}A2 {gBd}B>d {g}c2 {gAGAG}A2|
{gef}e2 {ag}a>e {gfg}f2 {gf}g>e|{GdGeAfA}e2 {gde}d>c {g}A3:|
"""


@cache
def tune(text: str = ABC) -> Tune:
    """The tune of these tests."""
    return read_abc_text(text).tunes[0]


def state(timing: Timing | None = None) -> PlayState:
    """The playing screen as it opens on the tune."""
    return _state_in(timing) if timing else _slowed_state()


@cache
def _slowed_state() -> PlayState:
    return _state_in(Timing(slow_down=4.0))


def _state_in(timing: Timing) -> PlayState:
    ours = tune()
    return first_state((ours,), ours, timing)


def picture(
    at_s: float,
    size: tuple[int, int] = (1280, 720),
    display: Display | None = None,
    staff: StaffSource | None = None,
) -> Picture:
    """The playing screen at `at_s`."""
    shown = display or Display()
    return PlayView(lettering_for(size, shown)).picture(state(), shown, at_s, *size, staff=staff)


def labels(one: Picture) -> Iterator[Label]:
    """All words of a picture."""
    return (mark for mark in one.marks if isinstance(mark, Label))


def meet(one: Rect, other: Rect) -> bool:
    """Whether two rectangles share more than a rounded sum leaves: a millionth of a pixel."""
    across = min(one.right, other.right) - max(one.x, other.x)
    down = min(one.bottom, other.bottom) - max(one.y, other.y)
    return across > 1e-6 and down > 1e-6


def assert_apart(picture: Picture, measure: Measure) -> list[tuple[Label, Rect]]:
    """All words of a picture and the room that each takes; none of them meets another."""
    rects = [(label, label_rect(label, measure)) for label in labels(picture)]
    for (one, one_rect), (other, other_rect) in combinations(rects, 2):
        assert not meet(one_rect, other_rect), (one.text, other.text)
    return rects


def label_rect(label: Label, measure: Measure) -> Rect:
    """The room that words take: their width, and their height without the space between lines."""
    width = measure.width(label.text, label.style)
    height = measure.height(label.style) * 0.62
    back = {Anchor.LEFT: 0.0, Anchor.CENTRE: width / 2, Anchor.RIGHT: width}[label.anchor]
    return Rect(label.x - back, label.y - height / 2, width, height)
