"""The program is taught what an instrument sends, and which instrument to listen to."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pygame
import pytest

from companion.midi.maps.note_map import NoteMap, Spelling
from companion.midi.stream.line import Timed
from companion.midi.stream.messages import NoteOff, NoteOn
from companion.sound.player import SilentPlayer
from companion.sound.settings import LatencyMode
from companion.window.choosing_navigation import choose_tune
from companion.window.core.actions import Action, Pick
from companion.window.core.display import Display, Print
from companion.window.core.marks import Dot, Label, Picture, Style
from companion.window.core.screen import Canvas, KeyMove, Screen, ScreenResult
from companion.window.live.input import LiveInput
from companion.window.live.sound import LiveSound
from companion.window.play.instrument_screen import NOTHING_HERE, InstrumentScreen
from companion.window.play.learn_screen import LearningSteps, LearnScreen, hole_lesson, learnt_words, note_lesson
from companion.window.play.play_screen import PlayScreen
from fingering.holes import Finger
from fingering.notes import Note
from tests.companion.window import scenes
from tests.companion.window.lettered import lettering_for
from tests.companion.window.players import Clock, Feed

SIZE = (1280, 720)
WHITE = NoteMap.of(57, Spelling.NATURALS)
SPACE, F_KEY = 44, 9  # USB HID usage ids, keyboard page


class Bench:
    """A playing screen with an instrument that a test plays."""

    def __init__(self, folder: Path | None = None) -> None:
        self.clock = Clock(10.0)
        self.live = LiveInput(folder, LiveSound(), self.clock)
        self.feed = Feed()
        self.live.choice.follow(self.feed, None)
        self.screen = PlayScreen(scenes.state(), SilentPlayer(self.clock), choose_tune, live=self.live)

    def play(self, number: int) -> None:
        """Hold a note for half a second."""
        self.feed.play(Timed(self.clock(), NoteOn(0, number)))
        self.clock.now_s += 0.5
        self.feed.play(Timed(self.clock(), NoteOff(0, number)))
        self.screen.listen_in()


def drawn(screen: Screen, size: tuple[int, int] = SIZE, display: Display | None = None) -> Picture:
    """A screen's picture."""
    shown = display or Display()
    return screen.picture(Canvas(*size, shown, lettering_for(size, shown)))


def large(picture: Picture) -> str:
    """The large words of a picture."""
    return "".join(label.text for label in scenes.labels(picture) if label.style is Style.LARGE)


def test_each_note_is_shown_as_it_is_learnt() -> None:
    """The large line asks for the next; a disc stands before what is known, a ring before what is not."""
    bench = Bench()
    screen = LearnScreen(bench.screen, note_lesson())
    for note, number in zip(Note, WHITE.numbers, strict=True):
        assert large(drawn(screen)) == note.label
        bench.play(number)
        dots = [mark for mark in drawn(screen).moving if isinstance(mark, Dot)][-len(Note) :]
        assert [dot.filled for dot in dots] == [other <= note for other in Note]
    assert screen.finished
    assert large(drawn(screen)) == "learnt"
    assert f"low A: MIDI note {WHITE.low_a}" in [label.text for label in scenes.labels(drawn(screen))]


def test_what_was_learnt_is_in_use_at_once() -> None:
    """The ninth note settles it."""
    bench = Bench()
    LearnScreen(bench.screen, note_lesson())
    for number in WHITE.numbers:
        bench.play(number)
    assert bench.live.choice.known == WHITE


def test_holes_are_learnt_one_by_one() -> None:
    """Thumb first."""
    bench = Bench()
    lesson = hole_lesson()
    screen = LearnScreen(bench.screen, lesson)
    for finger in Finger:
        assert large(drawn(screen)) == finger.label
        bench.play(40 + finger)
    assert learnt_words(lesson.learning) == tuple(f"MIDI note {40 + finger}" for finger in Finger)


def test_enter_keeps_nothing_before_all_is_learnt() -> None:
    """Then it does, and goes back; Escape goes back at any time."""
    bench = Bench()
    screen = LearnScreen(bench.screen, note_lesson())
    bench.play(WHITE.numbers[0])
    assert screen.act(Action.CHOOSE) is ScreenResult.STAY
    for number in WHITE.numbers[1:]:
        bench.play(number)
    assert screen.act(Action.CHOOSE) is ScreenResult.CLOSE
    assert LearnScreen(Bench().screen, note_lesson()).act(Action.LEAVE) is ScreenResult.CLOSE


@pytest.mark.parametrize("size", scenes.SIZES)
@pytest.mark.parametrize("print_size", Print)
@pytest.mark.parametrize("lesson", [note_lesson, hole_lesson])
def test_the_words_of_teaching_do_not_overlap(
    size: tuple[int, int], print_size: Print, lesson: Callable[[], LearningSteps]
) -> None:
    """At three sizes and in both prints, with something learnt."""
    bench = Bench()
    screen = LearnScreen(bench.screen, lesson())
    bench.play(60)
    display = Display(print=print_size)
    measure = lettering_for(size, display)
    for label, rect in scenes.assert_apart(drawn(screen, size, display), measure):
        assert 0 <= rect.x < rect.right <= size[0], label.text


def test_the_computers_keys_can_be_chosen_and_left() -> None:
    """From the list, where there is no port: a key held closes its hole, or lifts its finger, or nothing."""
    bench = Bench()
    screen = InstrumentScreen(bench.screen)
    words = [label.text for label in scenes.labels(drawn(screen))]
    assert words.count("the computer's keys") == 2
    assert screen.act(Pick(1)) is ScreenResult.CLOSE
    assert bench.screen.state.touch is not None
    assert bench.live.choice.keys is not None
    InstrumentScreen(bench.screen).act(Pick(2))
    assert bench.live.choice.keys is None
    assert bench.screen.state.touch is None
    assert NOTHING_HERE in [label.text for label in scenes.labels(drawn(InstrumentScreen(bench.screen)))]


def test_how_it_sounds_is_chosen_in_the_list() -> None:
    """Clean, or quick with a click."""
    bench = Bench()
    screen = InstrumentScreen(bench.screen)
    screen.act(Action.LIVE_WAY)
    assert bench.screen.state.live.way is LatencyMode.LOW_LATENCY
    assert any("quick" in hint.words for hint in screen.sheet(Display()))


def test_eight_keys_play_and_do_nothing_else() -> None:
    """Unless shift is held; all other keys stay as they are, and a release is always heard."""
    bench = Bench()
    assert not bench.screen.take_key(KeyMove(F_KEY, down=True, shifted=False))
    bench.screen.act(Action.PLAY_KEYS)
    assert bench.screen.take_key(KeyMove(F_KEY, down=True, shifted=False))
    assert bench.screen.take_key(KeyMove(SPACE, down=True, shifted=False))
    assert bench.screen.take_key(KeyMove(F_KEY, down=False, shifted=True))
    assert not bench.screen.take_key(KeyMove(F_KEY, down=True, shifted=True))
    assert not bench.screen.take_key(KeyMove(41, down=True, shifted=False))
    bench.screen.listen_in()
    state = bench.live.freely(bench.clock()).now.state
    assert [finger for finger in Finger if state.closed(finger)] == [Finger.THUMB]


def test_the_caps_are_shown_beside_the_fingers(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is printed on the keys of the layout in force: these are a US keyboard's, which SDL has without a screen."""
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    pygame.display.init()
    bench = Bench()
    bench.screen.act(Action.PLAY_KEYS)
    words = [mark.text for mark in drawn(bench.screen).moving if isinstance(mark, Label)]
    assert {"space", "F", "D", "S", "J", "K", "L", ";"} <= set(words)
    pygame.display.quit()
