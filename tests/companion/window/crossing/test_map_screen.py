"""The maps: every change of note, what to drill first of them, and a tune's own movements."""

from __future__ import annotations

from collections import Counter

import pytest

from companion.schedule.build import build_schedule
from companion.schedule.crossing import NamedTransition
from companion.schedule.timing import Timing
from companion.schedule.transitions import transitions
from companion.schedule.tune_use import NotePair, drill_first, use_in_our_tunes
from companion.window.core.actions import Action, Pick
from companion.window.core.display import Display, Print
from companion.window.core.marks import (
    Arrow,
    Direction,
    Dot,
    Frame,
    Label,
    Mark,
    Picture,
    Rect,
    Role,
    Rule,
    Style,
    Wash,
)
from companion.window.core.screen import Canvas, Screen, ScreenResult
from companion.window.crossing.change_facts import PAIRS
from companion.window.crossing.map_screen import Face, MapScreen, neighbour
from companion.window.crossing.tune_map_screen import TuneMapScreen
from companion.window.crossing.tune_map_view import by_notes
from fingering.crossings.hardness import Hard, hardness
from fingering.crossings.telling import noise_phrases
from fingering.crossings.transition import Transition
from fingering.notes import Note
from tests.companion.tune_building import notes, tune
from tests.companion.window import scenes
from tests.companion.window.lettered import lettering_for

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


def cells(picture: Picture) -> dict[NotePair, Rect]:
    """The cells in sight, by the pair that a click in each takes."""
    return {PAIRS[each.intent.rank]: each.rect for each in picture.targets if isinstance(each.intent, Pick)}


def inside(picture: Picture, rect: Rect) -> list[str]:
    """The words in a cell."""
    return [label.text for label in scenes.labels(picture) if rect.holds(label.x, label.y)]


def shapes(picture: Picture, rect: Rect) -> list[Mark]:
    """The shapes in a cell but for the strokes that say how hard it is."""
    found: list[Mark] = [mark for mark in picture.still if isinstance(mark, Dot | Arrow) and rect.holds(mark.x, mark.y)]
    lines = (mark for mark in picture.still if isinstance(mark, Rule) and mark.role is Role.PAST)
    return found + [line for line in lines if rect.holds(line.x0, line.y0)]


def strokes(picture: Picture, rect: Rect) -> int:
    """How many strokes a cell has."""
    upright = [mark for mark in picture.still if isinstance(mark, Rule) and mark.x0 == mark.x1]
    return sum(rect.holds(mark.x0, mark.y0) for mark in upright)


def test_the_map_has_a_cell_for_each_ordered_pair() -> None:
    """72 of them, none on the diagonal, each with one shape, and with the note that flashes where one does."""
    picture = shown(MapScreen(Taken()))
    found = cells(picture)
    assert sorted(found) == sorted(PAIRS)
    for pair, rect in found.items():
        noise = hardness(Transition.between(*pair)).noise
        assert inside(picture, rect) == ([noise.note.label] if noise else [])
        assert len(shapes(picture, rect)) == 1


def test_cells_differ() -> None:
    """By shape, note and strokes together there are many sorts, and none is half of the map."""
    picture = shown(MapScreen(Taken()))
    sorts = Counter(
        (type(shapes(picture, rect)[0]), tuple(inside(picture, rect)), strokes(picture, rect))
        for rect in cells(picture).values()
    )
    assert len(sorts) >= 12
    assert max(sorts.values()) < 36


def test_the_shape_tells_the_kind_and_the_strokes_how_hard() -> None:
    """An arrow down for a lower note, a disc for one in between, a ring for a veil, a line for none."""
    picture = shown(MapScreen(Taken()))
    found = cells(picture)
    (lower,) = shapes(picture, found[Note.D, Note.E])
    assert isinstance(lower, Arrow)
    assert lower.direction is Direction.DOWN
    for pair, filled in (((Note.LOW_G, Note.B), True), ((Note.HIGH_A, Note.LOW_A), False)):
        (dot,) = shapes(picture, found[pair])
        assert isinstance(dot, Dot)
        assert dot.filled is filled
    assert isinstance(shapes(picture, found[Note.LOW_A, Note.B])[0], Rule)
    counts = {pair: strokes(picture, rect) for pair, rect in found.items()}
    assert counts == {pair: hardness(Transition.between(*pair)).level - 1 for pair in PAIRS}


def test_what_no_tune_of_ours_asks_for_is_grey() -> None:
    """B to F comes in none, B to E in many; the key below says so."""
    picture = shown(MapScreen(Taken()))
    found = cells(picture)
    for pair, style in (((Note.B, Note.E), Style.STRONG), ((Note.B, Note.F), Style.TEXT)):
        (label,) = [each for each in scenes.labels(picture) if found[pair].holds(each.x, each.y)]
        assert label.style is style
        assert bool(use_in_our_tunes().times.get(pair)) is (style is Style.STRONG)
    assert "grey: never in our tunes" in words(picture)


def test_rows_come_from_a_note_and_columns_go_to_one() -> None:
    """The cell of D to E is in D's row and in E's column."""
    picture = shown(MapScreen(Taken()))
    cell = cells(picture)[Note.D, Note.E]
    left = [label.text for label in scenes.labels(picture) if cell.y <= label.y < cell.bottom and label.x < 60]
    first = min(rect.y for rect in cells(picture).values())
    above = [
        label.text
        for label in scenes.labels(picture)
        if cell.x <= label.x < cell.right and first - 25 < label.y < first
    ]
    assert (left, above) == (["D"], ["E"])


def test_the_trade_s_word_is_explained_where_it_stands() -> None:
    """Crossing noise, on each of the three; that it is computed; no word of statistics or of none of the trade."""
    for screen in (MapScreen(Taken()), MapScreen(Taken(), face=Face.LIST), drill()):
        text = " ".join(words(shown(screen)))
        assert "Crossing noise: a note that flashes between two others when fingers do not move together" in text
        assert "Computed, not measured" in text
        for strange in ("foreign", "standard deviation", "spread", "pairs", "%", "chance", "bar 0"):
            assert strange not in text


def test_the_chosen_pair_is_told_in_one_large_sentence() -> None:
    """Its frame, its row's and column's heads in bold; what flashes, for how long, by whom, how hard, how often."""
    screen = MapScreen(Taken(), chosen=(Note.HIGH_A, Note.E))
    picture = shown(screen)
    (frame,) = [mark for mark in picture.still if isinstance(mark, Frame) and mark.role is Role.GUIDE]
    assert cells(picture)[screen.chosen].holds(frame.rect.x, frame.rect.y)
    bold = {label.text for label in scenes.labels(picture) if label.style is Style.STRONG}
    assert {"high A", "E"} <= bold
    (large,) = [label.text for label in scenes.labels(picture) if label.style is Style.LARGE]
    text = " ".join(words(picture))
    assert large == "high A to E: low A flashes below both"
    assert "For 25 ms, usually when the upper ring finger comes late." in text
    assert "Upper ring finger up and upper middle and index down first, then thumb down." in text
    for reason in ("Hard: some fingers open while others close", "four fingers at once", "the thumb moves"):
        assert reason in text
    assert use_in_our_tunes().words(screen.chosen).removeprefix("our ") in text


def test_the_large_sentence_says_more_where_there_is_more_room() -> None:
    """With its length, without it, or what flashes alone; the rest is told below."""
    larges = {}
    for size in ((800, 600), (1280, 720), (1920, 1080)):
        for print_size in scenes.PRINTS:
            picture = shown(MapScreen(Taken()), size, Display(print=print_size))
            (larges[size, print_size],) = [label.text for label in scenes.labels(picture) if label.style is Style.LARGE]
            assert "30 ms" in " ".join(words(picture))
    assert larges[(1920, 1080), Print.NORMAL] == "D to E: low A flashes below both, for 30 ms"
    assert larges[(800, 600), Print.BIG] == "D to E: low A flashes"


def test_what_is_clean_is_told_once() -> None:
    """Where the large line says clean, the lesson says why; nothing is said twice."""
    text = " ".join(words(shown(MapScreen(Taken(), chosen=(Note.HIGH_G, Note.HIGH_A)), (800, 600))))
    assert "high G to high A: clean" in text
    assert text.lower().count("in any order") == 1


def test_the_arrows_walk_over_the_map() -> None:
    """All ways lead round the edges and over the diagonal; each pair can be reached."""
    assert neighbour((Note.D, Note.C), 0, 1) == (Note.D, Note.E)
    assert neighbour((Note.D, Note.HIGH_A), 0, 1) == (Note.D, Note.LOW_G)
    assert neighbour((Note.LOW_G, Note.HIGH_A), -1, 0) == (Note.HIGH_G, Note.HIGH_A)
    reached = {(Note.D, Note.E)}
    for _ in range(20):
        reached |= {neighbour(pair, *step) for pair in reached for step in ((0, 1), (1, 0))}
    assert reached == set(PAIRS)


@pytest.mark.parametrize("size", [(640, 480), (800, 600), (1280, 720), (3840, 2160)])
@pytest.mark.parametrize("print_size", scenes.PRINTS)
def test_the_marked_pair_is_in_sight_wherever_it_is(size: tuple[int, int], print_size: Print) -> None:
    """Where not all rows have room the map moves with the mark, and an arrow shows where more are."""
    for start in Note:
        end = Note.LOW_A if start is not Note.LOW_A else Note.B
        picture = shown(MapScreen(Taken(), chosen=(start, end)), size, Display(print=print_size))
        found = cells(picture)
        assert (start, end) in found
        seen = {pair[0] for pair in found}
        more = [mark.direction for mark in picture.still if isinstance(mark, Arrow) and mark.role is Role.QUIET]
        assert (Direction.UP in more) is (min(seen) is not Note.LOW_G)
        assert (Direction.DOWN in more) is (max(seen) is not Note.HIGH_A)
    if print_size is Print.NORMAL and size[0] >= 800:
        assert len(cells(picture)) == 72


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


def test_u_shows_what_to_drill_first_and_esc_comes_back_to_the_map() -> None:
    """The list begins at its top; what is marked there is marked on the map; only from the map Esc leaves."""
    taken = Taken()
    screen = MapScreen(taken)
    assert screen.act(Action.TUNE_MAP) is ScreenResult.STAY
    first, face = screen.chosen, screen.face
    assert face is Face.LIST
    screen.act(Action.TEMPO_DOWN)
    screen.act(Action.CHOOSE)
    assert [(named.start, named.end) for named in taken.named] == [screen.chosen]
    assert screen.chosen != first
    assert screen.act(Action.LEAVE) is ScreenResult.STAY
    assert screen.face is Face.MAP
    assert screen.act(Action.LEAVE) is ScreenResult.CLOSE


def test_the_list_is_every_change_of_note_the_hardest_first() -> None:
    """Walked to its end; the marked row is in sight, and why it is hard stands above, a line for each reason."""
    screen = MapScreen(Taken(), face=Face.LIST)
    screen.act(Action.LEAVE)
    screen.act(Action.TUNE_MAP)
    order = []
    for _ in PAIRS:
        picture = shown(screen)
        (wash,) = [mark for mark in picture.still if isinstance(mark, Wash)]
        assert cells(picture)[screen.chosen] == wash.rect
        order.append(screen.chosen)
        text = " ".join(words(picture))
        for demand in hardness(Transition.between(*screen.chosen)).demands:
            assert demand.hard is Hard.NOISE or demand.why in text
        screen.act(Action.TEMPO_DOWN)
    hard = {pair: hardness(Transition.between(*pair)) for pair in PAIRS}
    assert tuple(order) == drill_first(hard, use_in_our_tunes())


def test_a_tune_s_list_is_its_transitions_worst_first() -> None:
    """Row by row: movement, what flashes in it, how often it comes, where."""
    ours = scenes.tune()
    schedule = build_schedule(ours, Timing())
    found = by_notes(transitions(schedule))
    picture = shown(drill(), (1920, 1080))
    rows = [target for target in picture.targets if isinstance(target.intent, Pick)]
    for each, row in zip(found, rows, strict=False):
        inside = [label.text for label in scenes.labels(picture) if row.rect.holds(row.rect.x + 1, label.y)]
        assert f"{each.start.label} to {each.end.label}" in inside
        noise = hardness(each.transition).noise
        assert (noise_phrases(each.transition, noise)[-1]) in inside
        assert ("once" if each.count == 1 else f"{each.count} times") in inside
        assert any(text.startswith(("bar", "pick-up")) for text in inside)


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


def test_no_two_notes_stand_twice_in_a_tune_s_list() -> None:
    """Each pair once, with the places of all its ways, and none is lost."""
    found = transitions(build_schedule(scenes.tune(), Timing()))
    listed = by_notes(found)
    assert len({(each.start, each.end) for each in found}) == len({(each.start, each.end) for each in listed})
    assert len(listed) == len({(each.start, each.end) for each in listed})
    assert sorted(at for each in found for at in each.events) == sorted(at for each in listed for at in each.events)


def test_the_worst_one_is_taught() -> None:
    """Its sentence stands above the list."""
    worst = by_notes(transitions(build_schedule(scenes.tune(), Timing())))[0]
    start = f"{worst.start.label} to {worst.end.label}:"
    assert any(text.lower().startswith(start.lower()) for text in words(shown(drill())))


def test_the_arrows_walk_along_the_list_and_it_moves_with_them() -> None:
    """The chosen row is in sight all the way to the last; no farther."""
    taken = Taken()
    screen = drill(taken)
    count = len(by_notes(transitions(build_schedule(scenes.tune(), Timing()))))
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
    found = by_notes(transitions(build_schedule(scenes.tune(), Timing())))
    assert [each.transition for each in taken.named] == [found[-1].transition, found[0].transition]


def test_labels_are_plain_words() -> None:
    """Every label has something to say."""
    for screen in (MapScreen(Taken()), MapScreen(Taken(), face=Face.LIST), drill()):
        assert all(isinstance(label, Label) and label.text.strip() for label in scenes.labels(shown(screen)))
