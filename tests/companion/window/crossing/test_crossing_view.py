"""What the crossing screen shows."""

from __future__ import annotations

from itertools import pairwise, permutations

import pytest

from companion.window.core.actions import Action
from companion.window.core.display import Display
from companion.window.core.marks import (
    ChanterBody,
    Dot,
    FingerMark,
    Frame,
    HoleMark,
    Label,
    Picture,
    Rect,
    Role,
    Rule,
    Stripe,
    Style,
)
from companion.window.core.theme import THEMES, Theme
from companion.window.crossing.crossing_state import CrossingState, noise_middle_s, update
from companion.window.crossing.crossing_view import CrossingView
from companion.window.crossing.paths_view import TAUGHT_PX, Node, PathsPanel, node_of, paths_of
from companion.window.paint.still import paint_still
from fingering.crossings.passing import PassingKind
from fingering.holes import Finger
from fingering.notes import Note
from tests.companion.window import scenes
from tests.companion.window.crossing.showing import PAIRS, WIDE, crossings, opened, shown, words
from tests.companion.window.lettered import lettering_for


@pytest.mark.parametrize("pair", PAIRS)
def test_an_edge_of_the_paths_moves_one_finger(pair: tuple[Note, Note]) -> None:
    """Each edge joins two states that differ by one finger, and each such pair of states has its edge."""
    crossing = crossings()[pair]
    transition = crossing.transition
    lattice = transition.lattice()
    joined = {
        (node_of(transition, one), node_of(transition, other))
        for one, other in permutations(lattice, 2)
        if len(one.moves_to(other)) == 1 and node_of(transition, other).moved == node_of(transition, one).moved + 1
    }
    assert set(paths_of(crossing).edges) == joined
    assert all(end.moved == start.moved + 1 for start, end in joined)


@pytest.mark.parametrize("pair", PAIRS)
def test_the_order_to_teach_passes_no_foreign_node(pair: tuple[Note, Note]) -> None:
    """It climbs from the one note to the other, a finger at a time, and every pair can be taught clean."""
    paths = paths_of(crossings()[pair])
    assert not paths.foreign & set(paths.taught)
    assert (paths.taught[0], paths.taught[-1]) == paths.ends
    assert set(pairwise(paths.taught)) <= set(paths.edges)


@pytest.mark.parametrize("pair", PAIRS)
def test_a_node_is_foreign_when_a_state_of_it_is(pair: tuple[Note, Note]) -> None:
    """The foreign nodes are those of the foreign states; the two ends are never among them."""
    crossing = crossings()[pair]
    paths = paths_of(crossing)
    states = {each.state for each in crossing.passings if each.kind is PassingKind.FOREIGN}
    assert paths.foreign == {node_of(crossing.transition, state) for state in states}
    assert not paths.foreign & set(paths.ends)


def test_rows_are_notes_from_high_to_low_and_columns_count_fingers() -> None:
    """D to E has six rows, E on top; five fingers move."""
    crossing = crossings()[Note.D, Note.E]
    panel = PathsPanel(crossing, Rect(800, 150, 440, 400), lettering_for(WIDE, Display()))
    assert panel.paths.rows == (Note.E, Note.D, Note.C, Note.B, Note.LOW_A, Note.LOW_G)
    (x0, d_y), (x5, e_y) = panel.at(Node(0, Note.D)), panel.at(Node(5, Note.E))
    assert x0 < x5
    assert e_y < d_y
    assert panel.at(Node(1, Note.D))[0] - x0 == pytest.approx((x5 - x0) / 5)


def test_the_taught_order_is_bold_and_the_played_one_bolder() -> None:
    """Every step of the taught order is a thick stroke of the guide's colour; the fault's is thicker, in its own."""
    picture = shown(opened())
    rules = [mark for mark in picture.still if isinstance(mark, Rule)]
    taught = [rule for rule in rules if rule.role is Role.GUIDE and rule.width == TAUGHT_PX]
    assert len(taught) >= 5
    problem = [rule for rule in rules if rule.role is Role.FAULT]
    assert min(rule.width for rule in problem) > TAUGHT_PX


def test_a_foreign_node_is_a_ring_and_any_other_a_disc() -> None:
    """Shape says it, not colour alone."""
    picture = shown(opened())
    paths = paths_of(crossings()[Note.D, Note.E])
    dots = [mark for mark in picture.still if isinstance(mark, Dot)]
    rings = [dot for dot in dots if dot.role is Role.FAULT]
    assert len(rings) == len(paths.foreign) + 1  # and the one that the legend explains
    assert not any(ring.filled for ring in rings)
    discs = [dot for dot in dots if dot.role is Role.INK]
    assert len(discs) == len(paths.nodes) - len(paths.foreign)
    assert all(disc.filled for disc in discs)


def test_the_place_in_the_paths_follows_the_clock() -> None:
    """Before the movement it is the first note, in the noise low A after four fingers, then the second note."""
    state = opened()
    panel = CrossingView(lettering_for(WIDE, Display()))
    places = panel.places(state, Display(), *WIDE)
    at = PathsPanel(state.crossing, places.plot, lettering_for(WIDE, Display())).at
    expected = {0.0: Node(0, Note.D), noise_middle_s(state): Node(4, Note.LOW_A), 3.0: Node(5, Note.E)}
    for at_s, node in expected.items():
        (dot,) = [mark for mark in shown(state, at_s).moving if isinstance(mark, Dot) and mark.x > WIDE[0] * 0.6]
        assert (dot.x, dot.y) == at(node)


def late_by(ms: float) -> CrossingState:
    """D to E with the upper ring finger so late."""
    state = opened()
    while state.delay.ms != ms:
        state = update(state, Action.MORE_LATE if state.delay.ms < ms else Action.LESS_LATE, 0.0)
    return state


def frame_of(picture: Picture) -> Rect:
    """The frame about the only noise."""
    (frame,) = [mark for mark in picture.moving if isinstance(mark, Frame)]
    assert frame.role is Role.FAULT
    return frame.rect


@pytest.mark.parametrize("ms", [10.0, 40.0, 100.0])
def test_the_frame_goes_from_the_moment_to_the_late_finger(ms: float) -> None:
    """From where the other fingers move in their lanes to where the late one lifts at last."""
    picture = shown(late_by(ms))
    frame = frame_of(picture)
    ys = [mark.y for mark in picture.moving if isinstance(mark, HoleMark)]
    lanes = {
        finger: [mark for mark in picture.moving if isinstance(mark, Stripe) and mark.y == ys[finger]]
        for finger in Finger
    }
    for finger in (Finger.LOWER_INDEX, Finger.LOWER_MIDDLE, Finger.LOWER_RING):
        assert min(stripe.x0 for stripe in lanes[finger]) == pytest.approx(frame.x)
    assert max(stripe.x1 for stripe in lanes[Finger.LOWER_LITTLE]) == pytest.approx(frame.x)
    assert max(stripe.x1 for stripe in lanes[Finger.UPPER_RING]) == pytest.approx(frame.right)


def test_the_frame_is_as_wide_as_the_noise_is_long() -> None:
    """Four times as long is four times as wide; 10 ms are still seen: a dozen pixels of 1280 (a choice, no source)."""
    ten, forty, hundred = (frame_of(shown(late_by(ms))).width for ms in (10.0, 40.0, 100.0))
    assert forty / ten == pytest.approx(4.0)
    assert hundred / ten == pytest.approx(10.0)
    assert ten >= 12.0


@pytest.mark.parametrize("ms", [10.0, 40.0, 100.0])
def test_in_the_middle_of_the_noise_the_chanter_stands_in_the_middle_of_the_frame(ms: float) -> None:
    """The present is where the chanter is."""
    picture = shown(late_by(ms))
    frame = frame_of(picture)
    now_x = next(mark.x for mark in picture.moving if isinstance(mark, ChanterBody))
    assert frame.x + frame.width / 2 == pytest.approx(now_x)


def test_the_noise_and_the_late_finger_are_named() -> None:
    """In words, with their ms, in the colour of faults."""
    faults = [label.text for label in scenes.labels(shown(opened())) if label.role is Role.FAULT]
    assert "low A heard, 40 ms" in faults
    assert "upper ring 40 ms late" in faults


def test_the_late_finger_is_still_down_in_the_noise() -> None:
    """D to E: the upper ring lies on its hole, all the others are where E has them."""
    state = opened()
    picture = shown(state)
    holes = [mark for mark in picture.moving if isinstance(mark, HoleMark)]
    closed = {finger for finger, hole in zip(Finger, holes, strict=True) if hole.closed}
    assert closed == set(Finger) - {Finger.LOWER_LITTLE}
    lifts = {mark.y: mark.lift for mark in picture.moving if isinstance(mark, FingerMark)}
    assert lifts[holes[Finger.UPPER_RING].y] == 0.0
    assert lifts[holes[Finger.LOWER_LITTLE].y] > 0.5


def test_the_clean_one_has_no_mark_of_a_fault_in_its_lanes() -> None:
    """No frame, no words; the version says so."""
    picture = shown(update(opened(), Action.FLIP, 0.0))
    assert not [mark for mark in picture.moving if isinstance(mark, Frame)]
    assert not [mark for mark in picture.moving if getattr(mark, "role", None) is Role.FAULT]
    assert "clean, as taught" in words(picture)


def test_the_large_line_and_the_lesson() -> None:
    """The two notes large, the sentence to teach below; beside the paths what is heard and which orders are clean."""
    picture = shown(opened())
    assert [label.text for label in scenes.labels(picture) if label.style is Style.LARGE] == ["D to E"]
    said = words(picture)
    assert "Upper ring finger up first, then the lower hand." in said
    assert "usually low A flashes below both, for 30 ms" in said
    assert "half of the orders are clean" in said
    assert "computed, not measured" in said
    for strange in ("foreign", "spread", "pairs", "%"):
        assert strange not in " ".join(said)


@pytest.mark.parametrize(
    ("pair", "told"),
    [
        ((Note.B, Note.C), "any order is clean"),
        ((Note.LOW_A, Note.C), "some of the orders are clean"),
        ((Note.D, Note.HIGH_A), "few of the orders are clean"),
    ],
)
def test_how_many_orders_are_clean_is_told_without_numbers(pair: tuple[Note, Note], told: str) -> None:
    """All, half, some, few."""
    assert told in words(shown(opened(*pair)))


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
def test_the_noise_is_framed_in_pixels(theme: Theme) -> None:
    """At the frame's edges stands the colour of faults, inside it the wash, outside the ground."""
    state, display = opened(), Display(theme=theme)
    picture = shown(state, display=display)
    surface = paint_still(picture, display, lettering_for(WIDE, display))
    (frame,) = [mark for mark in picture.moving if isinstance(mark, Frame)]
    holes = [mark.y for mark in picture.moving if isinstance(mark, HoleMark)]
    y = round((holes[Finger.UPPER_RING] + holes[Finger.LOWER_INDEX]) / 2)
    for away, role in ((1, Role.FAULT), (6, Role.WASH), (-6, Role.GROUND)):
        assert tuple(surface.get_at((round(frame.rect.x) + away, y)))[:3] == theme[role]


def test_the_noise_s_place_in_the_lanes_is_pure() -> None:
    """It moves left as time goes on."""
    state, display = opened(), Display()
    view = CrossingView(lettering_for(WIDE, display))
    frames = []
    for at_s in (1.6, 1.8):
        picture = view.picture(state, display, at_s, *WIDE)
        frames.append(next(mark.rect.x for mark in picture.moving if isinstance(mark, Frame)))
    assert frames[1] < frames[0]


def test_labels_are_plain_words() -> None:
    """Every label has something to say."""
    assert all(isinstance(label, Label) and label.text.strip() for label in scenes.labels(shown(opened())))
