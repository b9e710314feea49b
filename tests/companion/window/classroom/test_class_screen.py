"""The class, driven by its keys: led through the list, hidden, and words for one when they are asked for."""

from __future__ import annotations

import pygame
import pytest

from companion.schedule.spans import Extent
from companion.schedule.timing import Timing
from companion.window.classroom.class_keys import CLASS_KEYS
from companion.window.classroom.class_screen import ClassScreen
from companion.window.classroom.class_words import KEPT_AT_IT, NOT_YET, NOTHING_TO_MEND, words_for
from companion.window.classroom.players_screen import NOBODY, PlayersScreen
from companion.window.core.actions import Action, LeadTo, Pick, Typed
from companion.window.core.caps import CAPS
from companion.window.core.display import Display, Print, Viewpoint
from companion.window.core.hints import MOST_CAPS
from companion.window.core.marks import ChanterBody, FingerMark, Label, Picture, Wash
from companion.window.core.screen import Canvas, ScreenResult
from companion.window.keyboard import action_of_key
from companion.window.play.play_keys import PLAY_TABLE
from tests.companion.window.classroom.class_scene import ClassStage
from tests.companion.window.lettered import lettering_for

SIZE = (1280, 720)
FAULTS_S = (0.0, 0.15, 0.0, 0.0)


def drawn(screen: ClassScreen | PlayersScreen) -> Picture:
    """The picture as it is projected."""
    display = screen.projected(Display())
    return screen.picture(Canvas(*SIZE, display, lettering_for(SIZE, display)))


def words(screen: ClassScreen | PlayersScreen) -> str:
    """All words but those of its keys."""
    picture = drawn(screen)
    return "\n".join(mark.text for mark in (*picture.still, *picture.moving) if isinstance(mark, Label))


def chanters(picture: Picture) -> int:
    """How many chanters there are."""
    return sum(isinstance(mark, ChanterBody) for mark in picture.marks)


@pytest.fixture
def stage() -> ClassStage:
    """Four learners, before anything was played."""
    return ClassStage(4)


@pytest.fixture(scope="module")
def played() -> ClassStage:
    """Four learners who have played the first phrase, one of them a little late."""
    stage = ClassStage(4, Timing())
    span = stage.screen.stage.state.span
    assert span is not None
    stage.run(span.end_s - span.start_s - 0.2, FAULTS_S)
    stage.stop()
    return stage


def test_everything_is_reached_by_eight_keys() -> None:
    """Those of the foot, and Esc; all else stands on the sheet, which is one of them."""
    foot = {CAPS[action] for hint in CLASS_KEYS.foot for action in hint.actions}
    assert foot | {"Esc"} == {"space", "PgUp", "PgDn", ".", "↓", "Enter", "K", "Esc"}
    assert len(foot) <= MOST_CAPS
    on_sheet = {action for hint in CLASS_KEYS.sheet for action in hint.actions}
    assert {action for _, action in CLASS_KEYS.keycaps()} <= on_sheet


def test_a_presenters_remote_leads_and_hides() -> None:
    """PgUp, PgDn, the point and Esc are what it sends; on the playing screen the point pauses, as ever."""

    def pressed(key: int, typed: str = "") -> pygame.event.Event:
        return pygame.event.Event(pygame.KEYDOWN, key=key, unicode=typed, mod=0)

    remote = (
        (pressed(pygame.K_PAGEUP), Action.PHRASE_BACK),
        (pressed(pygame.K_PAGEDOWN), Action.PHRASE_ON),
        (pressed(pygame.K_PERIOD, "."), Action.HIDE),
        (pressed(pygame.K_ESCAPE), Action.LEAVE),
        (pressed(pygame.K_F5), Action.FULL_SCREEN),
    )
    for event, action in remote:
        assert action_of_key(event, CLASS_KEYS.keycaps()) is action
    assert action_of_key(pressed(pygame.K_PERIOD, "."), PLAY_TABLE.keycaps()) is Action.PLAY


def test_it_is_shown_large_and_from_in_front(stage: ClassStage) -> None:
    """Whatever one player has set; theme and hands stay."""
    shown = stage.screen.projected(Display(print=Print.NORMAL, viewpoint=Viewpoint.PLAYER))
    assert (shown.print, shown.viewpoint) == (Print.BIG, Viewpoint.ONLOOKER)


def test_every_player_is_a_small_chanter_whose_fingers_move(stage: ClassStage) -> None:
    """Four beside the large one, each with a name; a note that is played lifts fingers."""
    still = [mark for mark in drawn(stage.screen).marks if isinstance(mark, FingerMark)]
    assert chanters(drawn(stage.screen)) == 5
    assert all(name in words(stage.screen) for name in stage.feeds)
    stage.run(1.0)
    stage.screen.act(Action.PLAY)
    moved = [mark for mark in drawn(stage.screen).marks if isinstance(mark, FingerMark)]
    assert len(still) == len(moved) == 5 * 8
    assert [mark.lift for mark in still[8:]] != [mark.lift for mark in moved[8:]]


def test_the_list_is_led_through_and_what_was_done_is_told(stage: ClassStage) -> None:
    """Phrase by phrase, the one in hand going round; a click leads there at once."""
    screen = stage.screen
    assert screen.stage.state.extent is Extent.PHRASE

    def items() -> list[tuple[bool, bool]]:
        return [(item.done, item.current) for item in screen._plan.items(screen.stage)]

    assert items() == [(False, True), (False, False)]
    screen.act(Action.PHRASE_ON)
    assert items() == [(True, False), (False, True)]
    screen.act(Action.PHRASE_ON)
    assert items() == [(True, False), (False, True)]
    screen.act(LeadTo(0))
    assert items() == [(True, True), (False, False)]


def test_the_point_hides_all_but_the_chanter_and_stops(stage: ClassStage) -> None:
    """Once more, or Esc, and all is there again, at the same moment."""
    screen = stage.screen
    stage.run(1.0)
    at_s = screen.stage.position_s()
    screen.act(Action.HIDE)
    assert not screen.stage.state.playing
    assert words(screen) == ""
    assert chanters(drawn(screen)) == 1
    assert screen.nested
    assert screen.act(Action.LEAVE) is ScreenResult.STAY
    assert chanters(drawn(screen)) == 5
    assert screen.stage.position_s() == pytest.approx(at_s, abs=0.05)
    assert screen.act(Action.LEAVE) is ScreenResult.CLOSE


def test_the_chanter_stays_where_it_is_when_all_else_is_hidden(stage: ClassStage) -> None:
    """Eyes have nothing to follow."""
    before = next(mark for mark in drawn(stage.screen).marks if isinstance(mark, ChanterBody))
    stage.screen.act(Action.HIDE)
    assert next(mark for mark in drawn(stage.screen).marks if isinstance(mark, ChanterBody)) == before


def test_nothing_is_said_of_anyone_unless_it_is_asked(played: ClassStage) -> None:
    """All that is read are names, the tune, its phrases and what is in hand: no word of a verdict."""
    shown = words(played.screen).replace("\n", " ")
    for live in played.screen.room.learners:
        said = words_for(live)
        assert not any(sentence in shown for sentence in (*said.strengths, said.mend))


def test_words_are_of_one_alone_the_strengths_first(played: ClassStage) -> None:
    """No other player is in sight meanwhile; the words go with the same key, with Esc, and with the next player."""
    screen = played.screen
    screen.act(Pick(1))
    screen.act(Action.CHOOSE)
    said = words_for(screen.room.learners[1])
    assert said.name == "Ben"
    assert said.strengths
    assert said.mend != NOTHING_TO_MEND
    shown = words(screen).replace("\n", " ")
    assert shown.index(said.strengths[0]) < shown.index(said.mend)
    assert chanters(drawn(screen)) == 1
    assert not any(name in shown for name in ("Anna", "Cara", "Dougal"))
    for key in (Action.CHOOSE, Action.LEAVE, Action.TEMPO_DOWN):
        assert screen.act(key) is ScreenResult.STAY
        assert said.mend not in words(screen).replace("\n", " ")
        assert chanters(drawn(screen)) == 5
        screen.act(Pick(1))
        screen.act(Action.CHOOSE)
    screen.act(Action.CHOOSE)
    assert not screen.nested


def test_who_played_without_a_fault_has_nothing_to_mend(played: ClassStage) -> None:
    """That is said, after what went well."""
    said = words_for(played.screen.room.learners[0])
    assert said.strengths
    assert said.strengths != (KEPT_AT_IT,)
    assert said.mend == NOTHING_TO_MEND


def test_before_anything_was_played_there_is_nothing_to_tell(stage: ClassStage) -> None:
    """And that is said."""
    stage.screen.act(Action.CHOOSE)
    assert NOT_YET in words(stage.screen).replace("\n", " ")


def test_leaving_comes_back_to_the_same_tune_and_moment(stage: ClassStage) -> None:
    """However far the class was led; the playing screen hears its own player again."""
    beneath = stage.beneath
    before = (beneath.state.tune, beneath.state.position_s, beneath.state.extent, beneath.state.playing)
    stage.screen.act(Action.PHRASE_ON)
    stage.run(1.0)
    stage.screen.close()
    assert (beneath.state.tune, beneath.state.position_s, beneath.state.extent, beneath.state.playing) == before
    assert beneath.guest is None


def test_no_mark_is_on_two_players(stage: ClassStage) -> None:
    """One plate for the player, one for the phrase in hand."""
    assert sum(isinstance(mark, Wash) for mark in drawn(stage.screen).marks) == 2


def test_a_teacher_types_names_and_nobody_is_one_without(stage: ClassStage) -> None:
    """The letters are the name of the marked port; Enter keeps them, Esc leaves them as they were."""
    opened = stage.screen.act(Action.INSTRUMENT)
    assert isinstance(opened, PlayersScreen)
    opened = PlayersScreen(ClassStage(3).screen.room)
    assert "Anna|" in words(opened)
    for letter in "bel":
        opened.act(Typed(letter))
    assert opened.written == "Annabel"
    for _ in range(9):
        opened.act(Action.ERASE)
    opened.act(Action.TEMPO_DOWN)
    assert NOBODY in words(opened).split("\n")
    assert opened.act(Action.LEAVE) is ScreenResult.CLOSE
    room = ClassStage(3).screen.room
    opened = PlayersScreen(room)
    for _ in "Anna":
        opened.act(Action.ERASE)
    assert opened.act(Action.CHOOSE) is ScreenResult.CLOSE
    assert [live.learner for live in room.learners] == ["Ben", "Cara"]
