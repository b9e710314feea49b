"""The class: what a teacher projects before learners, several of whom play in at the same time."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from companion.window.classroom.class_input import ClassInput, RestingInput
from companion.window.classroom.class_keys import CLASS_KEYS, NOBODY_KEYS
from companion.window.classroom.class_state import ClassShown, ClassState, LearnerShown, projected
from companion.window.classroom.class_view import class_picture
from companion.window.classroom.class_words import words_for
from companion.window.classroom.plan import Plan
from companion.window.classroom.players_screen import PlayersScreen
from companion.window.core.actions import Action, Intent, LeadTo, Pick
from companion.window.core.display import Display
from companion.window.core.hints import Hint, said
from companion.window.core.marks import Picture
from companion.window.core.screen import Canvas, Screen, ScreenResult
from companion.window.lanes.played_in import Light
from companion.window.lanes.trail import lanes_of
from companion.window.live.input import LiveInput
from companion.window.play.play_screen import PlayScreen
from companion.window.play.play_state import PlayState
from companion.window.staff.staff_view import StaffView

SHOWN_S = 0.3
"""How much of what each plays a picture needs: more than a finger takes to be fully raised."""

_THE_TUNES = frozenset(
    {
        *(Action.PLAY, Action.SLOWER, Action.FASTER, Action.REPEAT, Action.METRONOME, Action.STRICTNESS),
    }
)
"""What is left to the stage."""


class ClassScreen:
    """A class over a playing screen of its own, `stage`, which is never shown itself; `room` is all who play in.

    plan: what the class is led through. let_go: called with the last state of the stage when the screen closes.
    """

    def __init__(self, stage: PlayScreen, room: ClassInput, plan: Plan, let_go: Callable[[PlayState], None]) -> None:
        self.stage = stage
        self.room = room
        self.state = ClassState()
        self.words = words_for
        self._lines = StaffView()
        self._plan = plan
        self._let_go = let_go
        self._resting = RestingInput(stage.live)

    @property
    def nested(self) -> bool:
        """Whether Esc has something to put away before the class is left."""
        return self.state.hidden or self.state.asked

    def projected(self, display: Display) -> Display:
        """A class is shown in big print, the chanter as an onlooker sees it, whatever is set for one player."""
        return projected(display)

    def keycaps(self) -> Sequence[tuple[str, Action]]:
        """The keys in force."""
        return CLASS_KEYS.keycaps()

    def sheet(self, display: Display) -> Sequence[Hint]:
        """What the sheet shows."""
        return CLASS_KEYS.on_sheet(self.stage.state, display)

    def at_foot(self, display: Display) -> Sequence[Hint]:
        """The keys at the foot."""
        state = self.stage.state
        return CLASS_KEYS.at_foot(state, display) if self.room.learners else said(NOBODY_KEYS, state, display)

    def listen_in(self) -> None:
        """Take in what was played since the last frame, of each learner by an ear of their own."""
        run = self.stage.run_now()
        self._resting.see()
        self.room.gather(replace(run, setting=()) if run else None, self.stage.state.ear)

    @property
    def troubles(self) -> tuple[str, ...]:
        """A line for each thing that failed behind the window's back."""
        return self.room.troubles

    @property
    def others(self) -> tuple[LiveInput, ...]:
        """All learners of the class."""
        return self.room.learners

    def close_microphones(self) -> None:
        """Close those of all learners."""
        self.room.close_microphones()

    def act(self, intent: Intent) -> ScreenResult | Screen:
        """Carry out an intent."""
        match intent:
            case Action.LEAVE:
                return self._leave()
            case Action.HIDE:
                self._hide(not self.state.hidden)
            case Action.INSTRUMENT:
                self.state = ClassState()
                return PlayersScreen(self.room)
            case Action.PHRASE_BACK | Action.PHRASE_ON:
                self._lead(1 if intent is Action.PHRASE_ON else -1)
            case LeadTo(rank):
                self._go_to(rank)
            case Action.TEMPO_DOWN | Action.TEMPO_UP:
                self._mark(self._rank() + (1 if intent is Action.TEMPO_DOWN else -1))
            case Pick(rank):
                self._mark(rank)
            case Action.CHOOSE:
                asked = not self.state.asked and bool(self.room.learners)
                self.state = replace(self.state, marked=self._marked(), asked=asked)
            case Action() if intent in _THE_TUNES:
                self.state = replace(self.state, hidden=False)
                return self.stage.act(intent)
        return ScreenResult.STAY

    def tick(self) -> None:
        """Stop where the tune is over."""
        self.stage.tick()

    def picture(self, canvas: Canvas) -> Picture:
        """The picture at this moment."""
        return class_picture(self._shown(), self.at_foot(canvas.display), canvas, self._lines)

    def press(self, x: float, y: float, canvas: Canvas) -> Intent | None:
        """Nothing but targets can be clicked."""
        return None

    def close(self) -> None:
        """End every take, and give the player and what is played in back."""
        self.room.close()
        self._resting.end()
        self._let_go(self.stage.state)

    def _leave(self) -> ScreenResult:
        """One level back: what is hidden is shown, what is said goes, and only then the class is left."""
        if self.state.hidden:
            self._hide(False)
        elif self.state.asked:
            self.state = replace(self.state, asked=False)
        else:
            return ScreenResult.CLOSE
        return ScreenResult.STAY

    def _hide(self, hidden: bool) -> None:
        if hidden and self.stage.state.playing:
            self.stage.act(Action.PLAY)
        self.state = replace(self.state, hidden=hidden, asked=False)

    def _lead(self, steps: int) -> None:
        current = [rank for rank, item in enumerate(self._plan.items(self.stage)) if item.current]
        self._go_to(current[0] + steps if current else 0)

    def _go_to(self, rank: int) -> None:
        self.state = replace(self.state, hidden=False)
        if 0 <= rank < len(self._plan.items(self.stage)):
            self._plan.go_to(self.stage, rank)

    def _marked(self) -> LiveInput | None:
        """The learner who is marked; where that one has left, the first."""
        learners = self.room.learners
        return self.state.marked if self.state.marked in learners else next(iter(learners), None)

    def _rank(self) -> int:
        marked = self._marked()
        return self.room.learners.index(marked) if marked else 0

    def _mark(self, rank: int) -> None:
        """Mark another learner; whatever was said to the one before goes."""
        learners = self.room.learners
        if learners:
            self.state = replace(self.state, marked=learners[rank % len(learners)], asked=False)

    def _shown(self) -> ClassShown:
        at_s = self.room.clock()
        marked = self._marked()
        learners = tuple(_shown(live, at_s) for live in self.room.learners)
        said_now = self.words(marked) if self.state.asked and marked and marked is self.state.marked else None
        return ClassShown(
            play=self.stage.state,
            now_s=self.stage.shown_s(),
            count=self.stage.count_now(),
            items=self._plan.items(self.stage),
            learners=learners,
            at_s=at_s,
            marked=self._rank() if marked else None,
            words=said_now,
            hidden=self.state.hidden,
            staff=self.stage.staff,
        )


def _shown(live: LiveInput, at_s: float) -> LearnerShown:
    played = live.freely(at_s, SHOWN_S)
    return LearnerShown(live.learner, lanes_of(played.moments, at_s), played.light is Light.AWAY)
