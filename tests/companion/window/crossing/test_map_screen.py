"""The maps: all pairs of notes, and a tune's own movements, by difficulty."""

from __future__ import annotations

import math
from itertools import combinations

import pytest

from companion.schedule.build import build_schedule
from companion.schedule.crossing import NamedTransition
from companion.schedule.timing import Timing
from companion.schedule.transitions import transitions
from companion.window.core.actions import Action, Pick
from companion.window.core.display import Display, Print
from companion.window.core.marks import Dot, Frame, Label, Picture, Role, Style, Wash
from companion.window.core.screen import Canvas, Screen, ScreenResult
from companion.window.core.theme import THEMES, Theme
from companion.window.crossing.map_screen import MapScreen, neighbour
from companion.window.crossing.map_view import PAIRS, difficulty_marks
from companion.window.crossing.tune_map_screen import TuneMapScreen
from companion.window.paint.still import lettering_for, paint_still
from fingering.crossings.analysis import all_pairs
from fingering.notes import Note
from tests.companion.tune_building import notes, tune
from tests.companion.window import scenes

WIDE = (1280, 720)


class Taken:
    """Remembers what was chosen."""

    def __init__(self) -> None:
        self.named: list[NamedTransition] = []

    def __call__(self, named: NamedTransition) -> ScreenResult:
        self.named.append(named)
        return ScreenResult.STAY


def shown(screen: Screen, size: tuple[int, int] = WIDE, display: Display | None = None) -> Picture:
    """A screen's picture."""
    look = display or Display()
    return screen.picture(Canvas(*size, look, lettering_for(size, look)))


def drill(taken: Taken | None = None) -> TuneMapScreen:
    """What to drill in the tune of these tests."""
    ours = scenes.tune()
    return TuneMapScreen(ours.title, build_schedule(ours, Timing()), taken or Taken())


def words(picture: Picture) -> list[str]:
    """All that can be read."""
    return [label.text for label in scenes.labels(picture)]


def test_the_map_has_a_cell_for_each_ordered_pair() -> None:
    """72 of them, with a disc each, none on the diagonal; the number in it is the difficulty in percent."""
    picture = shown(MapScreen(Taken()))
    cells = {target.intent.rank: target.rect for target in picture.targets if isinstance(target.intent, Pick)}
    assert sorted(cells) == list(range(72))
    numbers = {pair: f"{100 * crossing.difficulty:.0f}" for pair, crossing in all_pairs().items()}
    for rank, rect in cells.items():
        inside = [label.text for label in scenes.labels(picture) if rect.holds(label.x, label.y)]
        assert inside == [numbers[PAIRS[rank]]]
        assert len([mark for mark in picture.still if isinstance(mark, Dot) and rect.holds(mark.x, mark.y)]) == 1


def test_rows_come_from_a_note_and_columns_go_to_one() -> None:
    """The cell of D to E is in D's row and in E's column."""
    picture = shown(MapScreen(Taken()))
    cell = next(target.rect for target in picture.targets if target.intent == Pick(PAIRS.index((Note.D, Note.E))))
    left = [label.text for label in scenes.labels(picture) if cell.y <= label.y < cell.bottom and label.x < 60]
    above = [label.text for label in scenes.labels(picture) if cell.x <= label.x < cell.right and 90 < label.y < 115]
    assert (left, above) == (["D"], ["E"])


def test_a_disc_s_area_grows_with_the_difficulty() -> None:
    """Twice as likely is twice the area; where nothing can sound there is a small ring."""
    half, whole = difficulty_marks(0.3, 0, 0, 20), difficulty_marks(0.6, 0, 0, 20)
    assert whole.radius**2 == pytest.approx(2 * half.radius**2)
    assert difficulty_marks(1.0, 0, 0, 20).radius == 20
    none = difficulty_marks(0.0, 0, 0, 20)
    assert not none.filled
    assert none.radius < half.radius / 2


def test_the_legend_says_what_the_number_means() -> None:
    """A chance, with its spread, and that it is computed."""
    for screen in (MapScreen(Taken()), drill()):
        text = " ".join(words(shown(screen)))
        assert "chance in percent of a foreign note" in text
        assert "5 ms (standard deviation)" in text
        assert "Computed, not measured" in text


def test_the_chosen_pair_is_framed_and_told() -> None:
    """Its frame, its row's and column's heads in bold, its lesson in words."""
    screen = MapScreen(Taken(), chosen=(Note.HIGH_A, Note.E))
    picture = shown(screen)
    (frame,) = [mark for mark in picture.still if isinstance(mark, Frame) and mark.role is Role.GUIDE]
    cell = next(target.rect for target in picture.targets if target.intent == Pick(PAIRS.index(screen.chosen)))
    assert cell.holds(frame.rect.x, frame.rect.y)
    bold = {label.text for label in scenes.labels(picture) if label.style is Style.STRONG}
    assert {"high A", "E", "high A to E: 58 %"} <= bold
    assert any(text.startswith("Upper ring finger up and upper middle") for text in words(picture))


def test_the_arrows_walk_over_the_map() -> None:
    """All ways lead round the edges and over the diagonal; each pair can be reached."""
    assert neighbour((Note.D, Note.C), 0, 1) == (Note.D, Note.E)
    assert neighbour((Note.D, Note.HIGH_A), 0, 1) == (Note.D, Note.LOW_G)
    assert neighbour((Note.LOW_G, Note.HIGH_A), -1, 0) == (Note.HIGH_G, Note.HIGH_A)
    reached = {(Note.D, Note.E)}
    for _ in range(20):
        reached |= {neighbour(pair, *step) for pair in reached for step in ((0, 1), (1, 0))}
    assert reached == set(PAIRS)


def test_enter_and_a_click_take_a_pair() -> None:
    """The chosen one, or the one that is clicked, which is then chosen."""
    taken = Taken()
    screen = MapScreen(taken)
    screen.act(Action.ON)
    screen.act(Action.TEMPO_DOWN)
    screen.act(Action.CHOOSE)
    screen.act(Pick(PAIRS.index((Note.HIGH_A, Note.E))))
    assert [str(named) for named in taken.named] == ["E to F", "high A to E"]
    assert screen.chosen == (Note.HIGH_A, Note.E)
    assert screen.act(Action.LEAVE) is ScreenResult.CLOSE


def test_a_tune_s_list_is_its_transitions_worst_first() -> None:
    """Row by row: chance, movement, how often, where."""
    ours = scenes.tune()
    schedule = build_schedule(ours, Timing())
    found = transitions(schedule)
    picture = shown(drill(), (1920, 1080))
    rows = [target for target in picture.targets if isinstance(target.intent, Pick)]
    for each, row in zip(found, rows, strict=False):
        inside = [label.text for label in scenes.labels(picture) if row.rect.holds(row.rect.x + 1, label.y)]
        assert f"{each.start.label} to {each.end.label}" in inside
        assert f"{100 * each.difficulty:.0f} %" in inside
        assert ("once" if each.count == 1 else f"{each.count} times") in inside
        assert any(text.startswith("bar") for text in inside)


def test_a_row_names_the_embellishment_that_it_is_part_of() -> None:
    """Low G to D only comes in a throw on D, C to D between two melody notes as well, B to C only there."""
    ours = tune(notes("A Gdc:d"), notes("B c"), notes("d A"))
    picture = shown(TuneMapScreen("Test", build_schedule(ours, Timing()), Taken()))
    lines: dict[float, list[str]] = {}
    for label in scenes.labels(picture):
        lines.setdefault(label.y, []).append(label.text)
    inside = {text: [each for each in line if each.startswith("in ")] for line in lines.values() for text in line}
    assert inside["low G to D"] == ["in throw on D"]
    assert inside["C to D"] == ["in throw on D …"]
    assert inside["B to C"] == []


def test_the_worst_one_is_taught() -> None:
    """Its sentence stands above the list."""
    worst = transitions(build_schedule(scenes.tune(), Timing()))[0]
    start = f"{worst.start.label} to {worst.end.label}:"
    assert any(text.lower().startswith(start.lower()) for text in words(shown(drill())))


def test_the_arrows_walk_along_the_list_and_it_moves_with_them() -> None:
    """The chosen row is in sight all the way to the last; no farther."""
    taken = Taken()
    screen = drill(taken)
    count = len(transitions(build_schedule(scenes.tune(), Timing())))
    for rank in range(count):
        picture = shown(screen, (800, 600), Display(print=Print.BIG))
        (wash,) = [mark for mark in picture.still if isinstance(mark, Wash)]
        assert any(target.intent == Pick(rank) and target.rect == wash.rect for target in picture.targets)
        screen.act(Action.TEMPO_DOWN)
    assert screen.rank == count - 1
    screen.act(Action.CHOOSE)
    screen.act(Pick(0))
    screen.act(Action.TEMPO_UP)
    assert screen.rank == 0
    found = transitions(build_schedule(scenes.tune(), Timing()))
    assert [each.transition for each in taken.named] == [found[-1].transition, found[0].transition]


@pytest.mark.parametrize("size", scenes.SIZES)
@pytest.mark.parametrize("print_size", scenes.PRINTS)
@pytest.mark.parametrize("which", ["all pairs", "the worst lesson", "a tune"])
def test_no_words_overlap_or_leave_the_window(size: tuple[int, int], print_size: Print, which: str) -> None:
    """At three sizes, in both prints; every target is 24 pixels or more each way (WCAG 2.2, 2.5.8), none on another."""
    screens: dict[str, Screen] = {
        "all pairs": MapScreen(Taken()),
        "the worst lesson": MapScreen(Taken(), chosen=(Note.D, Note.LOW_A)),
        "a tune": drill(),
    }
    display = Display(print=print_size)
    measure = lettering_for(size, display)
    picture = shown(screens[which], size, display)
    rects = scenes.assert_apart(picture, measure)
    for label, rect in rects:
        assert 0 <= rect.x < rect.right <= size[0], label.text
        assert 0 <= rect.y < rect.bottom <= size[1], label.text
    targets = [target.rect for target in picture.targets]
    assert all(rect.width >= 24 and rect.height >= 24 for rect in targets)
    assert not any(scenes.meet(one, other) for one, other in combinations(targets, 2))


@pytest.mark.parametrize("size", scenes.SIZES)
@pytest.mark.parametrize("print_size", scenes.PRINTS)
def test_discs_keep_to_their_cells_and_off_the_words(size: tuple[int, int], print_size: Print) -> None:
    """A disc covers neither its number nor its neighbour's cell."""
    display = Display(print=print_size)
    picture = shown(MapScreen(Taken()), size, display)
    measure = lettering_for(size, display)
    for target in picture.targets:
        if not isinstance(target.intent, Pick):
            continue
        (dot,) = [mark for mark in picture.still if isinstance(mark, Dot) and target.rect.holds(mark.x, mark.y)]
        assert target.rect.x <= dot.x - dot.radius
        assert target.rect.y <= dot.y - dot.radius
        assert dot.y + dot.radius <= target.rect.bottom
        (number,) = [label for label in scenes.labels(picture) if target.rect.holds(label.x, label.y)]
        assert dot.x + dot.radius < number.x
        assert scenes.label_rect(number, measure).right <= target.rect.right


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
def test_a_disc_is_painted_as_large_as_its_number_says(theme: Theme) -> None:
    """Counted in pixels of the fault's colour, the disc of high A to E (58) to that of D to E (34)."""
    display = Display(theme=theme)
    picture = shown(MapScreen(Taken()), display=display)
    surface = paint_still(picture, display, lettering_for(WIDE, display))
    painted = {}
    for pair in ((Note.HIGH_A, Note.E), (Note.E, Note.C)):
        rect = next(target.rect for target in picture.targets if target.intent == Pick(PAIRS.index(pair)))
        pixels = (
            (x, y) for x in range(round(rect.x), round(rect.right)) for y in range(round(rect.y), round(rect.bottom))
        )
        painted[pair] = sum(tuple(surface.get_at(at))[:3] == theme[Role.FAULT] for at in pixels)
    crossings = all_pairs()
    asked = crossings[Note.HIGH_A, Note.E].difficulty / crossings[Note.E, Note.C].difficulty
    assert math.isclose(painted[Note.HIGH_A, Note.E] / painted[Note.E, Note.C], asked, rel_tol=0.08)


def test_labels_are_plain_words() -> None:
    """Every label has something to say."""
    for screen in (MapScreen(Taken()), drill()):
        assert all(isinstance(label, Label) and label.text.strip() for label in scenes.labels(shown(screen)))
