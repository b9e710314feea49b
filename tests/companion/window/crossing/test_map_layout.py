"""Where things stand on the maps, at many sizes: words, shapes and targets keep apart and inside the window."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from companion.schedule.build import build_schedule
from companion.schedule.timing import Timing
from companion.window.core.actions import Pick
from companion.window.core.display import Display, Print
from companion.window.core.marks import Arrow, Dot, Frame, Label, Picture, Rect, Role, Rule, Style
from companion.window.core.screen import Canvas, Screen, ScreenResult
from companion.window.core.theme import THEMES, Theme
from companion.window.crossing.change_facts import PAIRS
from companion.window.crossing.map_screen import Face, MapScreen
from companion.window.crossing.tune_map_screen import TuneMapScreen
from companion.window.paint.still import paint_still
from fingering.notes import Note
from tests.companion.window import scenes
from tests.companion.window.lettered import lettering_for
from tests.referees import require_module

SIZES = (*scenes.SIZES, (640, 480), (3840, 2160))
FEWEST_PX = {Print.NORMAL: 24.0, Print.BIG: 44.0}  # WCAG 2.2, 2.5.8 and 2.5.5
SCREENS = ("map", "list", "a tune")


def screen_of(which: str, pair: tuple[Note, Note] = (Note.D, Note.E)) -> Screen:
    """A map with a pair marked, as a map or as a list, or a tune's own."""
    if which == "a tune":
        ours = scenes.tune()
        return TuneMapScreen(ours.title, build_schedule(ours, Timing()), lambda named: ScreenResult.STAY)
    return MapScreen(lambda named: ScreenResult.STAY, pair, face=Face.MAP if which == "map" else Face.LIST)


def drawn(which: str, size: tuple[int, int], display: Display, pair: tuple[Note, Note] = (Note.D, Note.E)) -> Picture:
    """Its picture."""
    return screen_of(which, pair).picture(Canvas(*size, display, lettering_for(size, display)))


def check(picture: Picture, size: tuple[int, int], display: Display) -> None:
    """Words apart from each other, from shapes and within the window; targets large enough and none on another."""
    measure = lettering_for(size, display)
    rects = scenes.assert_apart(picture, measure)
    for label, rect in rects:
        assert 0 <= rect.x < rect.right <= size[0], label.text
        assert 0 <= rect.y < rect.bottom <= size[1], label.text
    for shape in shapes(picture):
        assert not [label.text for label, rect in rects if scenes.meet(shape, rect)]
    targets = [target.rect for target in picture.targets]
    assert all(rect.width >= 24.0 and rect.height >= 24.0 for rect in targets)
    rows = [target.rect for target in picture.targets if isinstance(target.intent, Pick)]
    assert all(min(rect.width, rect.height) >= FEWEST_PX[display.print] for rect in rows)
    assert not any(scenes.meet(one, other) for one, other in combinations(targets, 2))


def shapes(picture: Picture) -> list[Rect]:
    """The room that each disc, arrow and stroke takes."""
    found = []
    for mark in picture.still:
        match mark:
            case Dot():
                found.append(Rect(mark.x - mark.radius, mark.y - mark.radius, 2 * mark.radius, 2 * mark.radius))
            case Arrow():
                found.append(Rect(mark.x - mark.size * 0.4, mark.y - mark.size / 2, mark.size * 0.8, mark.size))
            case Rule() if mark.x0 == mark.x1:
                found.append(Rect(mark.x0 - mark.width / 2, mark.y0, mark.width, mark.y1 - mark.y0))
    return found


@pytest.mark.parametrize("which", SCREENS)
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("print_size", scenes.PRINTS)
def test_nothing_overlaps_or_leaves_the_window(which: str, size: tuple[int, int], print_size: Print) -> None:
    """For pairs with the longest and the shortest words."""
    display = Display(print=print_size)
    pairs = ((Note.D, Note.E), (Note.HIGH_G, Note.HIGH_A), (Note.D, Note.HIGH_A), (Note.LOW_G, Note.LOW_A))
    for pair in pairs if which != "a tune" else pairs[:1]:
        check(drawn(which, size, display, pair), size, display)


@settings(deadline=None, max_examples=12)
@given(
    st.sampled_from(SCREENS[:2]),
    st.integers(640, 2600),
    st.integers(480, 1500),
    st.sampled_from(scenes.PRINTS),
    st.sampled_from(PAIRS),
)
@example("map", 1295, 715, Print.NORMAL, (Note.HIGH_A, Note.D))
def test_at_any_size(which: str, width: int, height: int, print_size: Print, pair: tuple[Note, Note]) -> None:
    """Windows from the smallest that there is, whatever their proportions; at one width a change of note that is not
    among the longest needs a line more than they do.
    """
    display = Display(print=print_size)
    check(drawn(which, (width, height), display, pair), (width, height), display)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("print_size", scenes.PRINTS)
def test_what_is_in_a_cell_stays_in_it(size: tuple[int, int], print_size: Print) -> None:
    """Shape, note and strokes, inside its edges."""
    display = Display(print=print_size)
    picture = drawn("map", size, display)
    measure = lettering_for(size, display)
    cells = [target.rect for target in picture.targets if isinstance(target.intent, Pick)]
    taken = shapes(picture) + [scenes.label_rect(label, measure) for label in scenes.labels(picture)]
    for cell in cells:
        for rect in taken:
            if scenes.meet(cell, rect):
                assert cell.x <= rect.x < rect.right <= cell.right
                assert cell.y <= rect.y < rect.bottom <= cell.bottom


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
def test_shapes_and_words_stand_out(theme: Theme) -> None:
    """Every role that carries a meaning here, by WCAG 2.2 (1.4.3, 1.4.11), on the ground and on the marked row."""
    contrast = require_module("wcag_contrast_ratio")
    roles = set()
    for which in SCREENS:
        for mark in drawn(which, (1280, 720), Display(theme=theme)).still:
            if isinstance(mark, Label):
                roles.add((mark.role, 3.0 if mark.style is Style.LARGE else 4.5))
            elif isinstance(mark, Dot | Arrow | Frame | Rule) and mark.role is not Role.HAIR:
                roles.add((mark.role, 3.0))
    assert {Role.INK, Role.FAULT, Role.GUIDE, Role.QUIET} <= {role for role, _ in roles}
    for role, least in roles:
        for ground in (Role.GROUND, Role.WASH):
            assert contrast.rgb(*(tuple(part / 255 for part in theme[each]) for each in (role, ground))) >= least, role


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
def test_an_arrow_is_painted_in_its_cell(theme: Theme) -> None:
    """In D to E's cell stands the colour of faults; in a clean one there is none of it."""
    display = Display(theme=theme)
    picture = drawn("map", (1280, 720), display)
    surface = paint_still(picture, display, lettering_for((1280, 720), display))
    painted = {}
    for pair in ((Note.D, Note.E), (Note.LOW_A, Note.B)):
        rect = next(target.rect for target in picture.targets if target.intent == Pick(PAIRS.index(pair)))
        points = [(x, y) for x in range(int(rect.x), int(rect.right)) for y in range(int(rect.y), int(rect.bottom))]
        painted[pair] = sum(tuple(surface.get_at(at))[:3] == theme[Role.FAULT] for at in points)
    assert painted[Note.D, Note.E] > 60
    assert painted[Note.LOW_A, Note.B] == 0
