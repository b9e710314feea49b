"""A take in review opens with what to mend: which is marked, what is lit, and what each key and button does."""

from __future__ import annotations

import pytest

from companion.window.core.actions import Action, Pick
from companion.window.core.display import Print
from companion.window.core.hints import MOST_CAPS
from companion.window.core.marks import Arrow, Frame, Picture, Role, Rule, Style, Wash
from companion.window.core.screen import ScreenResult
from companion.window.takes.take_keys import buttons, foot_hints
from companion.window.takes.take_screen import TakeScreen
from companion.window.takes.take_state import Lighting, Round, SoundedSide
from companion.window.takes.verdict_view import NOTHING
from tests.companion.window import scenes
from tests.companion.window.players import Clock
from tests.companion.window.takes.reviewing import (
    FAULTLESS,
    MANY_SLIPS,
    ONE_SLIP,
    THREE_SLIPS,
    Slips,
    canvas,
    faults,
    reviewed,
    words_of,
)

pytestmark = pytest.mark.same_everywhere

CLICKED = canvas()


def large(picture: Picture) -> list[str]:
    """The words in large type."""
    return [label.text for label in scenes.labels(picture) if label.style is Style.LARGE]


def click(screen: TakeScreen, words: str) -> None:
    """Click where words stand."""
    picture = screen.picture(CLICKED)
    label = next(label for label in scenes.labels(picture) if label.text == words)
    target = next(each for each in picture.targets if each.rect.holds(label.x + 1.0, label.y))
    screen.act(target.intent)


@pytest.mark.parametrize(("slips", "count"), [(FAULTLESS, 0), (ONE_SLIP, 1), (THREE_SLIPS, 3)])
def test_the_takes_hold_what_their_names_say(slips: Slips, count: int) -> None:
    """So many places in each; in the last one more than fifty."""
    review, many = reviewed(slips).state.review, reviewed(MANY_SLIPS).state.review
    assert review is not None
    assert many is not None
    assert len(review.findings) == count
    assert len(many.findings) >= 55


def test_it_opens_with_the_first_thing_to_mend() -> None:
    """In large words, with its sentence; the take stands where that was heard first; the two others stand by."""
    screen = reviewed(MANY_SLIPS)
    review = screen.state.review
    assert review is not None
    picture = screen.picture(canvas((1920, 1080)))
    assert large(picture) == [review.headlines[0].large]
    assert review.matters[0].text in words_of(picture)
    assert all(each.large in words_of(picture) for each in review.headlines[1:3])
    assert screen.position_s() == review.findings[review.headlines[0].places[0]].at_s
    assert not screen.state.playing


def test_moving_along_the_things_to_mend_moves_the_take() -> None:
    """Each in turn, by key or click, until the last; one goes back in the same way."""
    screen = reviewed(MANY_SLIPS)
    review = screen.state.review
    assert review is not None
    for rank, headline in enumerate(review.headlines):
        assert screen.state.marked == rank
        assert screen.position_s() == review.findings[headline.places[0]].at_s
        screen.act(Action.TEMPO_DOWN)
    assert screen.state.marked == len(review.headlines) - 1
    screen.act(Action.TEMPO_UP)
    assert screen.state.marked == len(review.headlines) - 2
    screen.act(Pick(0))
    click(screen, review.headlines[2].large)
    assert screen.state.marked == 2


def test_only_the_places_of_the_marked_thing_are_lit() -> None:
    """All others are small and quiet, and no finger of theirs is framed; in the line of the whole take as well."""
    screen = reviewed(MANY_SLIPS)
    review = screen.state.review
    assert review is not None
    for rank, headline in enumerate(review.headlines[:3]):
        screen.act(Pick(rank))
        picture = screen.picture(canvas((1920, 1080)))
        strokes = [mark for mark in picture.moving if isinstance(mark, Rule) and mark.role is Role.FAULT]
        assert len(strokes) == len(headline.places) == len(review.matters[rank].findings)
        fingers = {finger for place in headline.places for finger in review.findings[place].fingers}
        assert fingers or not faults(picture, Frame)
        screen.act(Action.HEAR_MINE)
        picture = screen.picture(canvas((1920, 1080)))
        quiet = [mark for mark in picture.moving if isinstance(mark, Arrow) and mark.role is Role.PAST]
        loud = [mark for mark in faults(picture, Arrow) if isinstance(mark, Arrow)]
        assert loud
        assert all(one.size < other.size / 2 for one in quiet for other in loud)


def test_one_key_or_click_lights_all_and_the_same_key_takes_it_back() -> None:
    """Then the take is as it was before: the note in large words, every place marked alike."""
    screen = reviewed(MANY_SLIPS)
    review = screen.state.review
    assert review is not None
    few = len(faults(screen.picture(CLICKED), Rule))
    click(screen, f"all {len(review.findings)} places")
    assert screen.state.lighting is Lighting.ALL
    shown = screen.picture(CLICKED)
    assert len(faults(shown, Rule)) == len(review.findings) > few
    assert large(shown) == [screen.state.now.note.label if screen.state.now.note else "silence"]
    screen.act(Action.FINDING_BACK)
    screen.act(Action.ALL_PLACES)
    assert screen.state.matter is review.matters[0]
    assert len(faults(screen.picture(CLICKED), Rule)) == few


def test_next_goes_through_the_places_of_the_marked_thing_alone() -> None:
    """Their own sentence is told at each."""
    screen = reviewed(MANY_SLIPS)
    review = screen.state.review
    assert review is not None
    rank = next(rank for rank, each in enumerate(review.headlines) if len(each.places) > 2)
    screen.act(Pick(rank))
    seen = []
    for _ in review.headlines[rank].places:
        screen.act(Action.FINDING_ON)
        seen.append(screen.state.chosen)
        assert screen.state.finding is not None
        assert screen.state.finding.text in words_of(screen.picture(canvas((1920, 1080)))).replace("\n", " ")
    assert seen == [*review.headlines[rank].places[1:], review.headlines[rank].places[-1]]
    assert screen.state.marked == rank


def test_a_place_of_another_thing_marks_that_thing() -> None:
    """As when a picture of one place is asked for."""
    screen = reviewed(MANY_SLIPS)
    review = screen.state.review
    assert review is not None
    other = review.headlines[1].places[0]
    screen.look_at(other)
    assert (screen.state.marked, screen.state.chosen) == (1, other)


def test_mine_and_right_stand_beside_one_another_and_in_turn_beside_them() -> None:
    """As keys, and as buttons in one row; the one that is heard is filled."""
    assert [button.cap for button in buttons(reviewed(ONE_SLIP).state)][:3] == ["5", "6", "7"]
    screen = reviewed(ONE_SLIP)
    for words, sounding in (("hear mine", SoundedSide.TAKE), ("hear it right", SoundedSide.ASKED)):
        click(screen, words)
        assert (screen.state.sounding, screen.state.round) == (sounding, Round.ONE)
        picture = screen.picture(CLICKED)
        rows = {label.y for label in scenes.labels(picture) if label.text in ("hear mine", "hear it right")}
        assert len(rows) == 1
        filled = [mark.rect for mark in picture.moving if isinstance(mark, Wash) and mark.role is Role.GUIDE]
        pressed = next(label for label in scenes.labels(picture) if label.text == words)
        assert [rect.holds(pressed.x, pressed.y) for rect in filled] == [True]


def test_one_after_the_other_plays_first_mine_then_right_and_goes_round() -> None:
    """Each around the marked place, as slow as the other; leaving goes back to the take."""
    clock = Clock()
    screen = reviewed(ONE_SLIP, clock)
    click(screen, "one after the other")
    heard = []
    for _ in range(4):
        loop = screen.state.loop
        assert loop is not None
        assert screen.position_s() == pytest.approx(loop.start_s, abs=1e-3)
        heard.append((screen.state.sounding, screen.state.slow_down))
        length_s = (loop.end_s - loop.start_s) * screen.state.slow_down
        clock.now_s += length_s * 0.9
        screen.tick()
        assert screen.state.loop is loop
        clock.now_s += length_s * 0.1
        screen.tick()
    assert heard == [(SoundedSide.TAKE, 4.0), (SoundedSide.ASKED, 4.0)] * 2
    assert screen.act(Action.LEAVE) is ScreenResult.STAY
    assert (screen.state.loop, screen.state.round) == (None, Round.ONE)
    assert screen.state.position_s == screen.state.review.findings[0].at_s if screen.state.review else False


def test_what_to_do_next_is_one_button() -> None:
    """It goes round the drill's notes as asked, slowed, and tells the drill; without a crossing screen, any matter."""
    screen = reviewed(ONE_SLIP)
    review = screen.state.review
    assert review is not None
    drill = review.matters[0].drill
    assert screen.act(Action.CHOOSE) is ScreenResult.STAY
    assert screen.state.round is Round.DRILL
    assert screen.state.sounding is SoundedSide.ASKED
    assert screen.state.slow_down == drill.slow_down
    assert drill.text in words_of(screen.picture(canvas((1920, 1080)))).replace("\n", " ")
    screen.act(Action.LEAVE)
    assert review.matters[0].text in words_of(screen.picture(canvas((1920, 1080)))).replace("\n", " ")


def test_a_faultless_take_says_so_in_large_words() -> None:
    """And what went well, in whole sentences."""
    screen = reviewed(FAULTLESS)
    picture = screen.picture(canvas((1920, 1080)))
    assert large(picture) == [NOTHING]
    review = screen.state.review
    assert review is not None
    assert review.verdict is not None
    assert review.verdict.went_well[0] in words_of(picture)
    for key in (Action.TEMPO_DOWN, Action.CHOOSE, Action.HEAR_IN_TURN, Action.ALL_PLACES):
        screen.act(key)
        assert screen.state.notice in words_of(screen.picture(canvas((1920, 1080))))


def test_a_take_that_runs_goes_on_when_it_is_judged() -> None:
    """The first thing to mend is marked, and nobody is torn away from what they hear."""
    clock = Clock()
    screen = reviewed(MANY_SLIPS, clock)
    screen.act(Action.START)
    screen.act(Action.PLAY)
    screen.act(Action.STRICTNESS)
    clock.now_s += 3.0
    screen.finish_review()
    assert screen.state.playing
    assert screen.state.matter is not None
    assert screen.position_s() == pytest.approx(screen.state.begin_s + 3.0, abs=0.01)


def test_at_most_seven_keys_stand_at_the_foot_and_none_twice() -> None:
    """Whatever is heard; the sheet of all keys has the others."""
    for key in (Action.START, Action.HEAR_MINE, Action.HEAR_IN_TURN, Action.ALL_PLACES, Action.CHOOSE):
        for print_size in Print:
            screen = reviewed(MANY_SLIPS)
            screen.act(key)
            foot = foot_hints(screen.state, canvas((1280, 720), print_size).display)
            caps = [cap for hint in foot for cap in hint.caps]
            assert len(set(caps)) == len(caps) <= MOST_CAPS


WORDS_OF_PROGRAMMERS = ("finding", "standard deviation", "bar 0", "1 times slower", "JSON")


@pytest.mark.parametrize("slips", [FAULTLESS, ONE_SLIP, THREE_SLIPS, MANY_SLIPS])
def test_no_word_of_programmers_is_on_any_screen(slips: Slips) -> None:
    """On the take in every state, and on the verdict."""
    screen = reviewed(slips)
    pictures = []
    for key in (Action.START, Action.FINDING_ON, Action.HEAR_IN_TURN, Action.ALL_PLACES, Action.FINDING_ON):
        screen.act(key)
        pictures.append(screen.picture(CLICKED))
    verdict = screen.act(Action.VERDICT)
    if not isinstance(verdict, ScreenResult):
        pictures.append(verdict.picture(CLICKED))
    for picture in pictures:
        assert not [each for each in WORDS_OF_PROGRAMMERS if each in words_of(picture)]
