"""Learns what an instrument sends: its nine notes played upward, or its eight holes closed one by one.

What a chanter sounds like before a microphone is learnt on the same screen.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Protocol

from companion.midi.maps.calibration import Calibration
from companion.midi.maps.hole_map import ControlSwitch, HoleLearning
from companion.midi.playing_in import Learning
from companion.window.core.actions import Action, Intent
from companion.window.core.display import Display
from companion.window.core.hands import hand_marks
from companion.window.core.hints import Group, Hint, KeyHint, KeyTable, hint_marks, hint_rows, said
from companion.window.core.layout import Layout, lay_out
from companion.window.core.look_keys import leave_key
from companion.window.core.marks import Dot, Label, Mark, Measure, Picture, Role, Style
from companion.window.core.screen import Canvas, Screen, ScreenResult, StillScreen
from companion.window.core.wording import fitted
from companion.window.lanes.played_marks import LIGHT_LINES, light_marks
from companion.window.lanes.trail import Moment, lanes_of
from companion.window.live.input import LiveInput
from companion.window.play.play_screen import PlayScreen
from fingering.chart import chart
from fingering.holes import Finger, HoleState
from fingering.notes import Note


class InstrumentLesson(Protocol):
    """One way of learning: what to do, the names in order and the fingers for each, and what it is kept for."""

    @property
    def what_to_do(self) -> str:
        """What is to be played, in a sentence."""

    @property
    def kept_for(self) -> str:
        """The kind of instrument."""

    @property
    def names(self) -> tuple[str, ...]:
        """What is learnt, in order."""

    @property
    def states(self) -> tuple[HoleState, ...]:
        """The fingers for each."""

    @property
    def finished(self) -> bool:
        """Whether all has been learnt."""

    def begin(self, live: LiveInput) -> None:
        """Learn from what is played in from now on."""

    def follow(self, live: LiveInput) -> None:
        """Once a frame."""

    def learnt(self) -> tuple[str, ...]:
        """For each name what has been learnt, in words, "" for nothing yet."""

    def end(self, live: LiveInput) -> None:
        """Learn no more."""


@dataclass(frozen=True, slots=True)
class LearningSteps:
    """The lesson of a port: the map being learnt, what to do, the names in order, the fingers for each."""

    learning: Learning
    what_to_do: str
    names: tuple[str, ...]
    states: tuple[HoleState, ...]
    kept_for: str = "port"

    @property
    def finished(self) -> bool:
        """Whether all has been learnt."""
        return self.learning.learnt_map is not None

    def begin(self, live: LiveInput) -> None:
        """Learn from the messages that come from now on."""
        live.choice.learn(self.learning)

    def follow(self, live: LiveInput) -> None:
        """What is learnt is learnt as it comes."""

    def learnt(self) -> tuple[str, ...]:
        """For each name what has been learnt, in words, "" for nothing yet."""
        words = learnt_words(self.learning)
        return (*words, *("" for _ in self.names[len(words) :]))

    def end(self, live: LiveInput) -> None:
        """Learn no more."""
        live.choice.learn(None)


def note_lesson() -> LearningSteps:
    """The steps that learn the nine notes."""
    names, states = tuple(note.label for note in Note), tuple(chart(note) for note in Note)
    return LearningSteps(Calibration(), "play the nine notes upward, each held for a moment", names, states)


def hole_lesson() -> LearningSteps:
    """The steps that learn the eight holes."""
    names = tuple(finger.label for finger in Finger)
    states = tuple(HoleState.of_closed([finger]) for finger in Finger)
    return LearningSteps(HoleLearning(), "close the eight holes one after the other, thumb first", names, states)


_KEEP: KeyHint[object] = KeyHint(
    (Action.CHOOSE,), lambda state, display: "keep", "Remembers what was learnt.", Group.PLAY
)
_LEAVE = leave_key("leave it as it was")
LEARN_KEYS: KeyTable[object] = KeyTable((_KEEP, _LEAVE), ())


class LearnScreen(StillScreen):
    """Shows what to play next. What is learnt is kept when Enter is pressed, never before."""

    def __init__(self, beneath: PlayScreen, lesson: InstrumentLesson) -> None:
        self._beneath = beneath
        self._lesson = lesson
        beneath.play_alone(True)
        lesson.begin(beneath.live)

    @property
    def finished(self) -> bool:
        """Whether all has been learnt."""
        return self._lesson.finished

    def tick(self) -> None:
        """Follow what is learnt."""
        self._lesson.follow(self._beneath.live)

    def keycaps(self) -> Sequence[tuple[str, Action]]:
        """The keys in force."""
        return LEARN_KEYS.keycaps()

    def sheet(self, display: Display) -> Sequence[Hint]:
        """Nothing but the foot."""
        return ()

    def act(self, intent: Intent) -> ScreenResult | Screen:
        """Keep what was learnt and close, or close without it."""
        match intent:
            case Action.LEAVE:
                self._beneath.live.forget_learnt()
                return ScreenResult.CLOSE
            case Action.CHOOSE if self.finished:
                self._beneath.live.keep_learnt()
                return ScreenResult.CLOSE
        return ScreenResult.STAY

    def picture(self, canvas: Canvas) -> Picture:
        """What to play next, on the chanter, and what was learnt."""
        hints = said((_KEEP, _LEAVE) if self.finished else (_LEAVE,), None, canvas.display)
        page = canvas.page
        rows = hint_rows(hints, page.inner, canvas.measure)
        layout = lay_out(page, rows, canvas.display.print)
        foot_marks, targets = hint_marks(hints, layout.footer, canvas.measure)
        state = self._lesson.states[min(self._told(), len(self._lesson.states) - 1)]
        lanes = lanes_of([Moment(0.0, state)], 1.0)
        still: list[Mark] = [*foot_marks, *hand_marks(lanes, 0.5, 1.0, layout, canvas.display)]
        moving = (*self._header(layout, canvas.measure), *self._learnt_marks(layout, canvas.measure))
        return Picture(canvas.width, canvas.height, tuple(still), moving, tuple(targets))

    def close(self) -> None:
        """End the learning; the tune may play again."""
        self._lesson.end(self._beneath.live)
        self._beneath.play_alone(False)

    def _told(self) -> int:
        """The first that is not learnt yet."""
        learnt = self._lesson.learnt()
        return learnt.index("") if "" in learnt else len(learnt)

    def _header(self, layout: Layout, measure: Measure) -> Iterator[Mark]:
        names = self._lesson.names
        wanted = "learnt" if self.finished else names[min(self._told(), len(names) - 1)]
        yield Label(layout.header.x, layout.page.title_y, wanted, Style.LARGE)
        told = f"Enter keeps it for this {self._lesson.kept_for}" if self.finished else self._lesson.what_to_do
        below = layout.page.below_title()
        yield Label(layout.header.x, below, fitted(told, Style.TEXT, layout.header.width, measure), role=Role.QUIET)
        played = self._beneath.live.freely(self._beneath.live.clock())
        room = layout.header.width - measure.width(wanted, Style.LARGE) - layout.line
        y = layout.page.beside_title()
        yield from light_marks(played.light, played.words, Role.QUIET, y, room, layout, measure, played.level)

    def _learnt_marks(self, layout: Layout, measure: Measure) -> Iterator[Mark]:
        """The names in a column right of the chanter: a disc before what is learnt, a ring before what is to come."""
        learnt, following = self._lesson.learnt(), self._told()
        x = layout.width * 0.55
        pitch = layout.lanes.height / (len(self._lesson.names) - 1)
        for rank, name in enumerate(self._lesson.names):
            y = layout.lanes.y + rank * pitch
            known = bool(learnt[rank])
            yield Dot(x, y, layout.line * LIGHT_LINES, Role.PLAYED, filled=known)
            words = f"{name}: {learnt[rank]}" if known else name
            style = Style.STRONG if rank == following else Style.TEXT
            yield Label(x + layout.line, y, words, style, Role.INK if known or rank == following else Role.QUIET)


def learnt_words(learning: Learning) -> tuple[str, ...]:
    """What has been learnt so far, in order, each in words."""
    if isinstance(learning, Calibration):
        return tuple(f"MIDI note {number}" for number in learning.learnt)
    return tuple(
        f"controller {switch.controller}" if isinstance(switch, ControlSwitch) else f"MIDI note {switch.number}"
        for switch in learning.learnt
    )
