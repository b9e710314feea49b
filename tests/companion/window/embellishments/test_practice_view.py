"""Where things stand on the screen of one embellishment: words, keys and targets keep apart, the chanter stays tall."""

from __future__ import annotations

from itertools import combinations

import pytest

from companion.schedule.count_in import count_in
from companion.schedule.timing import Timing
from companion.score.exercise import exercise_of
from companion.window.core.actions import Action, HearAlone
from companion.window.core.display import Display, Print
from companion.window.core.marks import Anchor, Arch, ChanterBody, FingerMark, Label, Picture, Role, Style
from companion.window.core.screen import Canvas
from companion.window.embellishments.practice_keys import PracticeState
from companion.window.embellishments.practice_view import LONGEST_TOLD, PLAY_BACK, PracticeView
from companion.window.embellishments.subject import Subject, named_subject
from companion.window.lanes.played_in import NOTHING_PLAYED, Light, PlayedIn
from companion.window.lanes.told import NOTHING_TOLD, Told
from companion.window.play.play_state import first_state
from fingering.notes import Note
from tests.companion.window import scenes
from tests.companion.window.lettered import lettering_for

SIZES = (*scenes.SIZES, (3840, 2160))
# A short name and the longest, one gracenote and the most, a sentence of one line and of two.
SHOWN = (
    ("taorluath", Note.LOW_A),
    ("barludh on low G", Note.E),
    ("G gracenote triple strike", Note.LOW_A),
    ("thumb doubling", Note.HIGH_G),
    ("seventeenth cutting from low G", Note.LOW_A),
    ("G gracenote", Note.B),
)
LISTENING = PlayedIn(light=Light.QUIET, words="listening to a chanter")


def state(name: str = "taorluath", onto: Note = Note.LOW_A) -> PracticeState:
    """An embellishment as it opens."""
    subject: Subject = named_subject(name, onto, Note.LOW_G if "from low G" in name else Note.C)
    tune = exercise_of(subject.embellishment, subject.before)
    return PracticeState(subject, first_state((tune,), tune, Timing(slow_down=4.0)))


def canvas(size: tuple[int, int], display: Display) -> Canvas:
    """A window."""
    return Canvas(*size, display, lettering_for(size, display))


def words(picture: Picture) -> list[str]:
    """All that can be read."""
    return [label.text for label in scenes.labels(picture)]


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("print_size", scenes.PRINTS)
@pytest.mark.parametrize("shown", SHOWN)
@pytest.mark.parametrize(("played", "told"), [(NOTHING_PLAYED, ()), (LISTENING, ()), (LISTENING, (LONGEST_TOLD,))])
def test_nothing_overlaps_or_leaves_the_window(
    size: tuple[int, int], print_size: Print, shown: tuple[str, Note], played: PlayedIn, told: tuple[str, ...]
) -> None:
    """All along the exercise; only what flows with the lanes may be cut off at the window's sides."""
    window = canvas(size, Display(print=print_size))
    view, opened = PracticeView(window.measure), state(*shown)
    layout = view.layout(opened, window, played)
    for rank in range(3):
        now_s = opened.play.schedule.duration_s * (rank + 0.9) / 4.0
        picture = view.picture(opened, window, now_s, played, Told(told))
        for label, rect in scenes.assert_apart(picture, window.measure):
            assert 0 <= rect.y < rect.bottom <= size[1], label.text
            if not layout.lanes.bottom < label.y < layout.footer.y:
                assert 0 <= rect.x < rect.right <= size[0], label.text


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("print_size", scenes.PRINTS)
@pytest.mark.parametrize("played", [NOTHING_PLAYED, LISTENING])
def test_the_chanter_stays_tall(size: tuple[int, int], print_size: Print, played: PlayedIn) -> None:
    """Half the height of the window at least, whatever the words are, and while something is played in."""
    window = canvas(size, Display(print=print_size))
    for shown in SHOWN:
        picture = PracticeView(window.measure).picture(state(*shown), window, 0.0, played, NOTHING_TOLD)
        (body,) = [mark for mark in picture.moving if isinstance(mark, ChanterBody)]
        assert body.bottom - body.top >= size[1] * 0.5 - 1
        assert len([mark for mark in picture.moving if isinstance(mark, FingerMark)]) == 8


@pytest.mark.parametrize("size", scenes.SIZES)
@pytest.mark.parametrize("print_size", scenes.PRINTS)
def test_every_target_can_be_hit(size: tuple[int, int], print_size: Print) -> None:
    """Targets measure at least 44 x 44 (WCAG 2.2, 2.5.5) and none covers another."""
    window = canvas(size, Display(print=print_size))
    picture = PracticeView(window.measure).picture(state(), window, 0.0, NOTHING_PLAYED, NOTHING_TOLD)
    targets = [target.rect for target in picture.targets]
    assert all(rect.width >= 44 and rect.height >= 44 for rect in targets)
    assert not any(scenes.meet(one, other) for one, other in combinations(targets, 2))


def shown_at(opened: PracticeState, at_s: float) -> Picture:
    """Its picture at a moment."""
    window = canvas((1280, 720), Display())
    return PracticeView(window.measure).picture(opened, window, at_s, NOTHING_PLAYED, NOTHING_TOLD)


def test_the_note_that_sounds_is_the_one_underlined() -> None:
    """From the note before, over each gracenote, to the melody note, and round again."""
    opened = state()
    current = []
    for event in opened.play.schedule.events:
        picture = shown_at(opened, (event.start_s + event.end_s) / 2.0)
        current.append([rank for rank, label in enumerate(_spelled(picture)) if label.role is Role.INK])
    assert current == [[0], [1], [2], [3], [4], [5]] * 2


def _spelled(picture: Picture) -> list[Label]:
    """The notes that it goes through, one by one: the only words in the middle of their columns above the lanes."""
    centred = [label for label in scenes.labels(picture) if label.anchor is Anchor.CENTRE]
    return [label for label in centred if label.y == min(each.y for each in centred)]


def test_the_note_that_sounds_is_the_largest_word() -> None:
    """A melody note; a gracenote that can be read is as large as room is left for the arch above it."""
    opened = state()
    for event in opened.play.schedule.events:
        picture = shown_at(opened, (event.start_s + event.end_s) / 2.0)
        (largest,) = [label for label in scenes.labels(picture) if label.style in (Style.HUGE, Style.LARGE)]
        assert largest.text == event.note.label


def test_the_lanes_are_those_of_the_playing_screen() -> None:
    """With the arches of its gracenotes."""
    picture = shown_at(state(), 3.0)
    assert any(isinstance(mark, Arch) for mark in picture.moving)


def test_how_to_play_it_back_is_said_until_something_is_played_in() -> None:
    """On the computer's keys, which everyone has."""
    window, opened = canvas((1280, 720), Display()), state()
    view = PracticeView(window.measure)
    assert PLAY_BACK in words(view.picture(opened, window, 0.0, NOTHING_PLAYED, NOTHING_TOLD))
    assert PLAY_BACK not in words(view.picture(opened, window, 0.0, LISTENING, NOTHING_TOLD))


def test_what_was_heard_is_read_once_something_is_played_in() -> None:
    """Before, its room goes to the chanter."""
    window, opened = canvas((1280, 720), Display()), state()
    view = PracticeView(window.measure)
    assert "Both were even." not in words(view.picture(opened, window, 0.0, NOTHING_PLAYED, Told(("Both were even.",))))
    told = view.picture(opened, window, 0.0, LISTENING, Told(("Both were even.", "The thumb was late once.")))
    assert "Both were even. The thumb was late once." in words(told)


def test_the_lanes_are_taken_hold_of_as_on_the_playing_screen() -> None:
    """A tap hears the note there; elsewhere there is nothing to hold."""
    window, opened = canvas((1280, 720), Display()), state()
    view = PracticeView(window.measure)
    layout = view.layout(opened, window, NOTHING_PLAYED)
    grab = view.grab_at(opened, window, (layout.now_x, layout.lane_ys[3]), 3.0, NOTHING_PLAYED)
    assert grab is not None
    assert isinstance(grab.tap, HearAlone)
    assert grab.tap.time_s == pytest.approx(3.0)
    assert view.grab_at(opened, window, (layout.now_x, 5.0), 3.0, NOTHING_PLAYED) is None


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("print_size", scenes.PRINTS)
@pytest.mark.parametrize("shown", SHOWN)
def test_its_name_is_read_whole(size: tuple[int, int], print_size: Print, shown: tuple[str, Note]) -> None:
    """As large as it has room; larger than text wherever that can be."""
    window = canvas(size, Display(print=print_size))
    opened = state(*shown)
    picture = PracticeView(window.measure).picture(opened, window, 0.0, NOTHING_PLAYED, NOTHING_TOLD)
    name = opened.subject.embellishment.full_name
    styles = [label.style for label in scenes.labels(picture) if label.text == name]
    assert styles
    assert set(styles) != {Style.STRONG} or len(name) > 30


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("print_size", scenes.PRINTS)
def test_a_count_in_stands_where_its_name_stands_else(size: tuple[int, int], print_size: Print) -> None:
    """As on the playing screen; how it is played can be read meanwhile."""
    window = canvas(size, Display(print=print_size))
    subject = named_subject("taorluath", Note.LOW_A, Note.C)
    tune = exercise_of(subject.embellishment, subject.before)
    opened = PracticeState(subject, first_state((tune,), tune, Timing()))
    count = count_in(opened.play.schedule, 0.0)
    assert count is not None
    view = PracticeView(window.measure)
    picture = view.picture(opened, window, count.begins_s, NOTHING_PLAYED, NOTHING_TOLD, None, count)
    scenes.assert_apart(picture, window.measure)
    assert any("counting in" in text for text in words(picture))
    assert any("A grip, then" in text for text in words(picture))


def test_the_two_notes_can_be_clicked() -> None:
    """For another note to come from or to lead onto; their keys are shown where they have room."""
    window = canvas((800, 600), Display(print=Print.BIG))
    picture = PracticeView(window.measure).picture(state(), window, 0.0, NOTHING_PLAYED, NOTHING_TOLD)
    assert {"1", "2"}.isdisjoint(words(picture))
    row = _spelled(picture)
    asked = [target.intent for label in row for target in picture.targets if target.rect.holds(label.x, label.y)]
    assert (asked[0], asked[-1]) == (Action.FIRST_NOTE, Action.SECOND_NOTE)
    assert {"1", "2"} <= set(words(shown_at(state(), 0.0)))
