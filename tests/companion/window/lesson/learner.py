"""A learner at a step of a lesson in the window, with an instrument, and a clock that a test moves."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from companion.lesson.progress.book import ProgressBook
from companion.midi.maps.note_map import DEFAULT_MAP
from companion.midi.stream.line import Timed
from companion.midi.stream.messages import NoteOff, NoteOn
from companion.schedule.events import Event, EventKind
from companion.schedule.timing import Timing
from companion.score.model import Tune
from companion.sound.player import SilentPlayer
from companion.window.choosing_navigation import choose_tune
from companion.window.core.actions import Action
from companion.window.lesson.lesson_screen import LessonScreen
from companion.window.lesson.step_screen import StepScreen
from companion.window.lesson.step_state import RoundPhase
from companion.window.lesson.teaching import Teaching
from companion.window.lesson_navigation import lesson_over
from companion.window.live.input import LiveInput
from companion.window.live.sound import LiveSound
from companion.window.play.play_screen import PlayScreen
from companion.window.play.play_state import first_state
from fingering.notes import Note
from tests.companion.window.players import Clock, Feed

FRAME_S = 1.0 / 60.0
Fingers = Callable[[Event], Note | None]
"""What a learner plays where an event is asked for; None for silence."""


def as_asked(event: Event) -> Note | None:
    """No fault at all."""
    return None if event.kind is EventKind.REST else event.note


def nothing(event: Event) -> Note | None:
    """Watches."""
    return None


class Learner:
    """Goes through the lesson of a tune."""

    def __init__(self, tune: Tune, folder: Path) -> None:
        self.clock, self.feed = Clock(0.0), Feed()
        self.live = LiveInput(folder, LiveSound(), self.clock)
        self.live.choice.follow(self.feed, DEFAULT_MAP)
        self.screen = PlayScreen(
            first_state((tune,), tune, Timing()), SilentPlayer(self.clock), choose_tune, live=self.live
        )
        self.book = ProgressBook(folder / "progress.sqlite")
        lesson = lesson_over(self.screen, Teaching(self.book))
        assert lesson
        self.lesson: LessonScreen = lesson
        self._sounding: Note | None = None

    def begin(self, rank: int) -> StepScreen:
        """Begin with the step of that rank."""
        step = self.lesson.choose(rank)
        assert isinstance(step, StepScreen)
        return step

    def round(self, step: StepScreen, fingers: Fingers) -> None:
        """Play one round, until it was heard and can be read."""
        if step.phase is RoundPhase.READY:
            step.act(Action.PLAY)
        while step.phase is not RoundPhase.SOUNDING:
            self._frame(step, nothing)
        while step.phase is RoundPhase.SOUNDING:
            self._frame(step, fingers)
        self.live.ear.wait()
        self._frame(step, nothing)

    def _frame(self, step: StepScreen, fingers: Fingers) -> None:
        self.clock.now_s += FRAME_S
        stage = step.stage
        note = None
        if stage.state.playing and stage.count_now() is None:
            schedule = stage.state.schedule
            note = fingers(schedule.events[schedule.event_index_at(stage.shown_s())])
        if note is not self._sounding:
            if note is not None:
                self.feed.play(Timed(self.clock.now_s, NoteOn(0, _number(note))))
            if self._sounding is not None:
                self.feed.play(Timed(self.clock.now_s, NoteOff(0, _number(self._sounding))))
            self._sounding = note
        step.listen_in()
        step.tick()


def _number(note: Note) -> int:
    number = DEFAULT_MAP.number(note)
    assert number is not None
    return number
