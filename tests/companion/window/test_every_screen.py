"""What holds of every screen, whatever its state, its size and its print: words, targets, keys, chanter and colours."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.window.core.actions import Action, Ask, Pick
from companion.window.core.display import Display, Print
from companion.window.core.hints import MOST_CAPS
from companion.window.core.layout import LEAST_CHANTER_SHARE
from companion.window.core.look_keys import MORE_KEY
from companion.window.core.marks import (
    Arch,
    Arrow,
    ChanterBody,
    Dot,
    Engraved,
    Frame,
    Label,
    Mark,
    Measure,
    Picture,
    Rect,
    Role,
    Rule,
    Stripe,
    Style,
    Target,
    Wash,
)
from companion.window.core.screen import Canvas
from companion.window.core.theme import THEMES, Theme
from companion.window.live.microphone.open_sign import above_sign
from companion.window.shell import SMALLEST
from tests.companion.window import scenes
from tests.companion.window.core.test_theme import SHAPE_CONTRAST, TEXT_CONTRAST
from tests.companion.window.every_screen import SIGN, Scene, every_scene, playing
from tests.companion.window.lettered import lettering_for
from tests.companion.window.play.on_keys import freely_on_keys
from tests.companion.window.play.test_play_view import CAPS
from tests.referees import require_module

pytestmark = pytest.mark.same_everywhere

SCENES = tuple(every_scene())
SIZES = (SMALLEST, (800, 600), (1024, 768), (1280, 720), (1920, 1080), (3840, 2160))
LEAST_TARGET_PX = {Print.NORMAL: 24.0, Print.BIG: 44.0}
"""WCAG 2.2, 2.5.8 Target Size (Minimum), and 2.5.5 Target Size (Enhanced)."""

LARGE = (Style.HUGE, Style.LARGE, Style.MEDIUM)
"""More than 24 px in the smallest of windows: large-scale text (WCAG 2.2, 1.4.3), for which 3:1 is enough."""

ROUNDING_PX = 0.01


def canvas_of(size: tuple[int, int], display: Display) -> Canvas:
    """A window."""
    return Canvas(*size, display, lettering_for(size, display))


def seen_words(picture: Picture, measure: Measure) -> list[tuple[Label, Rect]]:
    """The words that no plate drawn later lies on, each with its room."""
    seen: list[tuple[Label, Rect]] = []
    for mark in picture.marks:
        if isinstance(mark, Wash):
            seen = [each for each in seen if not scenes.meet(each[1], mark.rect)]
        elif isinstance(mark, Label):
            seen.append((mark, scenes.label_rect(mark, measure)))
    return seen


def chanter_of(picture: Picture) -> ChanterBody | None:
    """The chanter, where there is one."""
    return next((mark for mark in picture.marks if isinstance(mark, ChanterBody)), None)


def assert_words_apart(scene: Scene, picture: Picture, canvas: Canvas) -> None:
    """No words meet, and none leaves; what flows with the lanes, below them, may leave at the sides."""
    seen = seen_words(picture, canvas.measure)
    if not scene.over:
        assert len(seen) == len(list(scenes.labels(picture))), "words are drawn over"
    for (one, one_rect), (other, other_rect) in combinations(seen, 2):
        assert not scenes.meet(one_rect, other_rect), (one.text, other.text)
    body = chanter_of(picture)
    for label, rect in seen:
        assert 0 <= rect.y < rect.bottom <= canvas.height, label.text
        if body is None or label not in picture.moving or label.y < body.bottom:
            assert 0 <= rect.x < rect.right <= canvas.width, label.text


def assert_staff_apart(picture: Picture) -> None:
    """Words, the chanter and the lanes leave the staff its place."""
    for staff in (mark for mark in picture.still if isinstance(mark, Engraved)):
        place = Rect(staff.x, staff.y, staff.part.width, staff.part.height)
        assert not [label.text for label in scenes.labels(picture) if place.holds(label.x, label.y)]
        body = chanter_of(picture)
        assert body is None or place.bottom <= body.top + 1.0


def assert_targets(picture: Picture, canvas: Canvas) -> None:
    """Each is large enough and within the window; one lies on another only as a key or button in its row."""
    least = LEAST_TARGET_PX[canvas.display.print] - ROUNDING_PX
    for target in picture.targets:
        rect = target.rect
        assert min(rect.width, rect.height) >= least, (target.intent, rect)
        assert rect.x >= 0, target.intent
        assert rect.y >= 0, target.intent
        assert rect.right <= canvas.width + ROUNDING_PX, target.intent
        assert rect.bottom <= canvas.height + ROUNDING_PX, target.intent
    for one, other in combinations(picture.targets, 2):
        if scenes.meet(shrunk(one.rect), shrunk(other.rect)):
            assert within_row(one, other), (one.intent, other.intent)


def shrunk(rect: Rect) -> Rect:
    """Without what rounding adds."""
    return Rect(rect.x + ROUNDING_PX, rect.y + ROUNDING_PX, rect.width - 2 * ROUNDING_PX, rect.height - 2 * ROUNDING_PX)


def within_row(one: Target, row: Target) -> bool:
    """Whether the first is a key or a button that stands in the row of the second, which is asked for beside it."""
    inner, outer = one.rect, row.rect
    inside = outer.x <= inner.x and outer.y <= inner.y and inner.right <= outer.right and inner.bottom <= outer.bottom
    return isinstance(one.intent, Ask | Action) and isinstance(row.intent, Pick) and inside


def caps_at_foot(picture: Picture) -> list[Mark]:
    """The outlines of the keys' caps that stand at the foot."""
    marks = picture.foot.marks if picture.foot else picture.still
    return [mark for mark in marks if isinstance(mark, Frame) and (mark.role, mark.width) == (Role.PAST, 1.2)]


def check(scene: Scene, size: tuple[int, int], print_size: Print) -> None:
    """All that holds of shapes and places."""
    canvas = canvas_of(size, Display(print=print_size))
    picture = scene.draw(canvas)
    assert_words_apart(scene, picture, canvas)
    assert_targets(picture, canvas)
    assert_staff_apart(picture)
    body = chanter_of(picture)
    if body:
        room = above_sign(SIGN, canvas) if scene.signed else canvas
        assert body.bottom - body.top >= room.height * LEAST_CHANTER_SHARE - 1.0
    assert len(caps_at_foot(picture)) <= MOST_CAPS


@pytest.mark.parametrize("print_size", Print)
@pytest.mark.parametrize("scene", SCENES, ids=str)
def test_words_targets_keys_and_chanter_have_their_places(scene: Scene, print_size: Print) -> None:
    """In the windows that people have."""
    for size in SIZES:
        check(scene, size, print_size)


@settings(max_examples=150)
@given(
    st.sampled_from(SCENES),
    st.integers(SMALLEST[0], 4000),
    st.integers(SMALLEST[1], 2200),
    st.sampled_from(Print),
)
def test_so_they_have_in_any_window(scene: Scene, width: int, height: int, print_size: Print) -> None:
    """Whatever its proportions."""
    check(scene, (width, height), print_size)


def colours(picture: Picture, measure: Measure) -> set[tuple[Role, Role, float]]:
    """What is drawn in which role on which ground, and how far apart both have to be.

    Hairlines carry no meaning: the lanes they lie in are told by their stripes.
    """
    grounds: list[tuple[Rect, Role]] = []
    found = set()
    for mark in picture.marks:
        match mark:
            case Wash():
                grounds.append((mark.rect, mark.role))
            case Label():
                rect = scenes.label_rect(mark, measure)
                least = SHAPE_CONTRAST if mark.style in LARGE else TEXT_CONTRAST
                found.add((mark.role, _ground(grounds, rect.x + rect.width / 2, mark.y), least))
            case Dot() | Arrow():
                found.add((mark.role, _ground(grounds, mark.x, mark.y), SHAPE_CONTRAST))
            case Stripe() | Arch():
                found.add((mark.role, _ground(grounds, (mark.x0 + mark.x1) / 2, mark.y), SHAPE_CONTRAST))
            case Frame():
                found.add((mark.role, _ground(grounds, mark.rect.x - 1.0, mark.rect.y - 1.0), SHAPE_CONTRAST))
            case Engraved():
                ground = _ground(grounds, mark.x + mark.part.width / 2, mark.y + mark.part.height / 2)
                found |= {(role, ground, SHAPE_CONTRAST) for role in (mark.lines, mark.notes) if role is not None}
            case Rule() if mark.role is not Role.HAIR:
                found.add((mark.role, _ground(grounds, mark.x0, mark.y0), SHAPE_CONTRAST))
    return {each for each in found if each[0] is not Role.GROUND}  # which clears what lies behind a mark


def _ground(grounds: list[tuple[Rect, Role]], x: float, y: float) -> Role:
    return next((role for rect, role in reversed(grounds) if rect.holds(x, y)), Role.GROUND)


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
@pytest.mark.parametrize("scene", SCENES, ids=str)
def test_words_and_shapes_stand_out_from_what_they_stand_on(scene: Scene, theme: Theme) -> None:
    """By WCAG 2.2, 1.4.3 and 1.4.11, as the package wcag-contrast-ratio computes it."""
    contrast = require_module("wcag_contrast_ratio")
    canvas = canvas_of((1280, 720), Display(theme=theme))
    for role, ground, least in colours(scene.draw(canvas), canvas.measure):
        ratio = contrast.rgb(*(tuple(part / 255 for part in theme[each]) for each in (role, ground)))
        assert ratio >= least, (role, ground)


@pytest.mark.parametrize("print_size", Print)
@pytest.mark.parametrize("size", SIZES)
def test_free_play_on_keys_shows_the_way_out_and_no_key_twice(size: tuple[int, int], print_size: Print) -> None:
    """Its own keys that are fingers ask for Shift; Esc goes back, and more stands behind K."""
    picture = freely_on_keys(playing(runs=False)).picture(canvas_of(size, Display(print=print_size)))
    words = [label.text for label in scenes.labels(picture)]
    assert {"Esc", "Shift K", "more"} <= set(words)
    assert all(words.count(cap) == 1 for cap in CAPS)
    assert {Action.LEAVE, *MORE_KEY.actions} <= {target.intent for target in picture.targets}


@pytest.mark.parametrize("print_size", Print)
@pytest.mark.parametrize("size", SIZES)
def test_each_finger_key_stands_in_a_frame(size: tuple[int, int], print_size: Print) -> None:
    """Without one a letter in the gap of a bar would look like an open hole; no two frames meet."""
    picture = freely_on_keys(playing(runs=False)).picture(canvas_of(size, Display(print=print_size)))
    frames = [mark.rect for mark in picture.moving if isinstance(mark, Frame) and mark.role is Role.PLAYED]
    letters = [label for label in scenes.labels(picture) if label.text in CAPS]
    assert len(frames) == len(letters) == len(CAPS)
    assert all(any(frame.holds(label.x, label.y) for frame in frames) for label in letters)
    assert not any(scenes.meet(one, other) for one, other in combinations(frames, 2))
