"""Which line of staff is shown when, and what is marked on it: by value, in windows of any size."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from companion.listen.model.findings import Finding, FindingKind
from companion.schedule.count_in import count_in
from companion.schedule.events import EventKind
from companion.schedule.spans import Extent, Span
from companion.schedule.timing import Gracing, Timing
from companion.score.abc import read_abc_text
from companion.score.staff.model import grace_id, note_id
from companion.window.core.display import Display, Notation, Print
from companion.window.core.marks import Arrow, Direction, Engraved, Frame, Mark, Picture, Rect, Role, Rule, Wash
from companion.window.lanes.told import Told
from companion.window.paint.still import lettering_for
from companion.window.play.play_state import PlayState, first_state, respan
from companion.window.play.play_view import PlayView
from companion.window.staff.passes import StaffPass
from companion.window.staff.staff_marks import StaffShown
from tests.companion.window.staff.plain_staff import PlainStaff

pytestmark = pytest.mark.same_everywhere

SIZE = (1280, 720)
BAR = "{gef}e2 {g}c2 {Gdc}d2 {gAGAG}A2|"
PHRASE = "{gcd}c2 {GdGe}A2 {gBd}B>d {g}c{d}A|"
FIRST, SECOND = (BAR + PHRASE) * 4, PHRASE * 8
TEXT = f"X:1\nT:Ours\nM:4/4\nL:1/8\nQ:1/4=60\nK:HP\nA|:{FIRST[:-1]}:|\n{SECOND[:-1]}|]\n"


def state(slow_down: float = 4.0, extent: Extent = Extent.NOTHING, gracing: Gracing = Gracing.STRETCH) -> PlayState:
    """A tune of two parts, the first repeated, of two lines each; with a pick-up."""
    tune = read_abc_text(TEXT).tunes[0]
    timing = Timing(slow_down=slow_down, gracing=gracing)
    return respan(replace(first_state((tune,), tune, timing), extent=extent, span=None))


STATE = state()


@cache
def view(size: tuple[int, int] = SIZE, print_size: Print = Print.NORMAL) -> tuple[PlayView, Display]:
    """A view of a window."""
    display = Display(print=print_size)
    return PlayView(lettering_for(size, display)), display


def shown_at(at_s: float, of: PlayState = STATE, print_size: Print = Print.NORMAL) -> StaffShown:
    """The line at a moment."""
    playing, display = view(print_size=print_size)
    source = PlainStaff()
    layout = playing.layout(of, display, *SIZE, staff=source)
    shown = playing.staff_shown(of, display, layout, at_s, source)
    assert shown
    return shown


def picture(at_s: float, of: PlayState = STATE, size: tuple[int, int] = SIZE, told: Told | None = None) -> Picture:
    """The picture at a moment."""
    playing, display = view(size)
    return playing.picture(of, display, at_s, *size, heard=told or Told(), staff=PlainStaff())


def staff_of(one: Picture) -> Rect | None:
    """Where the line of staff is in a picture."""
    line = next((mark for mark in one.still if isinstance(mark, Engraved)), None)
    return Rect(line.x, line.y, line.part.width, line.part.height) if line else None


def on_staff(one: Picture, *kinds: type) -> list[Mark]:
    """What is marked on the line."""
    place = staff_of(one)
    assert place
    return [mark for mark in one.moving if isinstance(mark, kinds) and place.y <= top_of(mark) < place.bottom]


def top_of(mark: Mark) -> float:
    """Where one begins."""
    match mark:
        case Wash() | Frame():
            return mark.rect.y
        case Rule():
            return mark.y0
        case Engraved() | Arrow():
            return mark.y
    return -1.0


def middle(rect: Rect) -> float:
    """The x of its middle."""
    return rect.x + rect.width / 2


@pytest.mark.parametrize("gracing", Gracing)
def test_at_every_moment_the_note_that_sounds_is_marked(gracing: Gracing) -> None:
    """Each gracenote one after another, exactly while its notch passes in the lanes, and each melody note."""
    of, (playing, _) = state(gracing=gracing), view()
    for event in of.schedule.events[:100]:
        rank = of.schedule.played[event.played].note.rank
        wanted = note_id(rank) if event.grace is None else grace_id(rank, event.grace)
        for share in (0.001, 0.999):
            at_s = event.start_s + share * (event.end_s - event.start_s)
            shown = shown_at(at_s, of)
            plates = [mark for mark in playing.on_staff(shown, of, at_s, Told(), None) if isinstance(mark, Wash)]
            (head,) = shown.heads([wanted])
            assert [middle(plate.rect) for plate in plates] == pytest.approx([middle(head)], abs=1.0)


def test_what_sounds_is_told_by_more_than_a_colour() -> None:
    """A plate behind it, a line below the staff, and its head in the colour of what is present."""
    event = next(each for each in STATE.schedule.events if each.grace == 1)
    one = picture((event.start_s + event.end_s) / 2)
    (plate,), (under,) = on_staff(one, Wash), on_staff(one, Rule)
    again = on_staff(one, Engraved)
    assert isinstance(plate, Wash)
    assert isinstance(under, Rule)
    assert (under.role, under.x0, under.x1) == (Role.GUIDE, plate.rect.x, plate.rect.right)
    assert under.width >= 3.0
    assert [(mark.lines, mark.notes) for mark in again if isinstance(mark, Engraved)] == [
        (Role.PAST, Role.INK),
        (None, Role.GUIDE),
    ]


def test_nothing_is_marked_while_it_is_counted_in() -> None:
    """The line of the place stands ready."""
    count = count_in(STATE.schedule, 0.0)
    assert count
    playing, display = view()
    one = playing.picture(STATE, display, -1.0, *SIZE, count=count, staff=PlainStaff())
    assert staff_of(one)
    assert not on_staff(one, Wash)


def test_lines_come_in_the_order_of_playing() -> None:
    """Two phrases a line; the part that is repeated comes to its lines again."""
    cuts: list[StaffPass] = []
    for event in STATE.schedule.events:
        first = shown_at((event.start_s + event.end_s) / 2).once
        cuts += [first] if cuts[-1:] != [first] else []
    bars = [(each.cut.first, each.cut.stop) for each in cuts]
    assert bars == [(0, 5), (5, 9), (0, 5), (5, 9), (9, 13), (13, 17)]


def test_in_big_print_the_phrase_in_hand_stands_alone() -> None:
    """Two bars, wherever it is."""
    for event in STATE.schedule.events[::9]:
        cut = shown_at((event.start_s + event.end_s) / 2, print_size=Print.BIG).once.cut
        assert cut.stop - cut.first in (2, 3)


def test_the_next_line_is_shown_a_beat_ahead() -> None:
    """While the tune runs, once half of the last note has sounded; and never while it stands still."""
    runs = replace(STATE, playing=True)
    first = shown_at(0.0).once
    last = [event for event in STATE.schedule.events if event.played == first.stop - 1][-1]
    beat_s = STATE.schedule.beats[1].at_s - STATE.schedule.beats[0].at_s
    turns_s = max((last.start_s + last.end_s) / 2, last.end_s - beat_s)
    assert shown_at(turns_s - 0.01, runs).once == first
    assert shown_at(turns_s + 0.01, runs).once.first == first.stop
    assert shown_at(last.end_s - 0.01).once == first


def test_at_the_end_of_a_stretch_its_beginning_comes_next() -> None:
    """Where it is repeated, the line ahead is that with its beginning."""
    part = state(extent=Extent.PART)
    assert part.span
    runs = replace(part, playing=True)
    assert shown_at(part.span.end_s - 0.01, runs).once == shown_at(part.span.start_s, runs).once
    assert shown_at(part.span.end_s - 0.01, replace(runs, span=None)).once.first == shown_at(part.span.end_s).once.first


def test_a_stretch_over_the_end_of_a_line_is_shown_on_one() -> None:
    """From its first bar to its last, as long as it is repeated and has room."""
    end = shown_at(0.0).once.stop
    onsets = STATE.schedule.note_onsets_s
    of = replace(STATE, span=Span(onsets[end - 3], onsets[end + 3]), marked=True)
    for place in range(end - 3, end + 3):
        assert (shown_at(onsets[place], of).once.first, shown_at(onsets[place], of).once.stop) == (end - 3, end + 3)
    assert shown_at(onsets[end + 3], of).once.first == end


def test_a_stretch_within_a_line_stands_between_brackets() -> None:
    """Before its first gracenote and behind its last note; none where all of the line is repeated."""
    onsets = STATE.schedule.note_onsets_s
    of = replace(STATE, span=Span(onsets[4], onsets[8]), marked=True)
    one, shown = picture(onsets[5] + 0.2, of), shown_at(onsets[5] + 0.2, of)
    left, right = sorted(mark.x0 for mark in upright(one))
    ranks = [STATE.schedule.played[place].note.rank for place in (4, 7)]
    (first,), (last,) = shown.heads([grace_id(ranks[0], 0)]), shown.heads([note_id(ranks[1])])
    assert left < first.x
    assert right > last.right
    assert not upright(picture(onsets[5] + 0.2))


def upright(one: Picture) -> list[Rule]:
    """The upright strokes on the line."""
    return [mark for mark in on_staff(one, Rule) if isinstance(mark, Rule) and mark.x0 == mark.x1]


def found(played: int) -> Finding:
    """Something that was found at a played note."""
    rank = STATE.schedule.played[played].note.rank
    return Finding(FindingKind.CROSSING, 1.0, 1, rank, played, "e", "A", (), 40.0, "late", "E", "late")


def test_findings_stand_at_their_notes_in_the_shapes_of_the_lanes() -> None:
    """An arrow down over the note, and a frame round it; only of the time through that is shown."""
    one = picture(0.5, told=Told(marked=(found(3), found(6))))
    shown = shown_at(0.5)
    frames = [mark for mark in on_staff(one, Frame) if isinstance(mark, Frame)]
    arrows = [mark for mark in on_staff(one, Arrow) if isinstance(mark, Arrow)]
    heads = [shown.heads([note_id(STATE.schedule.played[place].note.rank)])[0] for place in (3, 6)]
    assert [middle(frame.rect) for frame in frames] == pytest.approx([middle(head) for head in heads])
    assert [arrow.x for arrow in arrows] == pytest.approx([middle(head) for head in heads])
    assert {(arrow.direction, arrow.role) for arrow in arrows} == {(Direction.DOWN, Role.FAULT)}
    again = next(
        place for place, each in enumerate(STATE.schedule.played) if place > 20 and each.note.rank == 3
    )  # the same written note, the second time
    assert not on_staff(picture(0.5, told=Told(marked=(found(again),))), Frame, Arrow)


def test_a_rest_that_sounds_is_marked_as_well() -> None:
    """Where it is written."""
    tune = read_abc_text("X:1\nT:Ours\nM:4/4\nL:1/8\nK:HP\nA2 z2 {g}c4|]\n").tunes[0]
    of = first_state((tune,), tune, Timing())
    rest = next(each for each in of.schedule.events if each.kind is EventKind.REST)
    (plate,) = on_staff(picture((rest.start_s + rest.end_s) / 2, of), Wash)
    (head,) = shown_at(rest.start_s + 0.01, of).heads([note_id(1)])
    assert isinstance(plate, Wash)
    assert middle(plate.rect) == pytest.approx(middle(head), abs=1.0)


@pytest.mark.parametrize(
    ("size", "print_size", "has_room"),
    [
        ((800, 600), Print.NORMAL, True),
        ((1280, 720), Print.NORMAL, True),
        ((1280, 720), Print.BIG, True),
        ((1920, 1080), Print.BIG, True),
        ((800, 600), Print.BIG, False),
        ((640, 480), Print.BIG, False),
    ],
)
def test_it_gives_way_where_there_is_no_room(size: tuple[int, int], print_size: Print, has_room: bool) -> None:
    """Before the chanter has less than half of the height, the staff goes; nothing is asked for then."""
    playing, display = view(size, print_size)
    source = PlainStaff()
    one = playing.picture(STATE, display, 1.0, *size, staff=source)
    assert (staff_of(one) is not None) == has_room == bool(source.asked)


def test_put_away_it_leaves_its_room_to_the_lanes() -> None:
    """As it was before there was one."""
    playing, display = view()
    away = playing.picture(STATE, replace(display, notation=Notation.NONE), 1.0, *SIZE, staff=PlainStaff())
    assert away == playing.picture(STATE, display, 1.0, *SIZE)


def test_the_line_in_hand_is_asked_for_before_the_one_to_come() -> None:
    """So that both are ready when they are to be seen."""
    source = PlainStaff()
    playing, display = view()
    playing.picture(STATE, display, 1.0, *SIZE, staff=source)
    assert [each.first for each in source.asked] == [0, 5]
