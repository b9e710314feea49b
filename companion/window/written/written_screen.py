"""A tune that was written down: a teacher goes from one unsure place to the next, decides each, and saves the tune."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from companion.files.lines import one_line
from companion.files.worker import Done, Failed, Worker, fault_line
from companion.notate.doubts import commented
from companion.notate.notating import NOTHING_GIVEN, Given, NotatedTune
from companion.schedule.pace import tempo_of
from companion.schedule.timing import BEATS_PER_MINUTE_RANGE
from companion.score.model import Tune
from companion.sound.player import Player
from companion.sound.settings import SoundSettings
from companion.window.core.actions import Action, Intent
from companion.window.core.display import Display
from companion.window.core.hints import Hint
from companion.window.core.list_view import ListContents, list_picture
from companion.window.core.marks import Picture, Role
from companion.window.core.screen import Canvas, Screen, ScreenResult
from companion.window.play.handing import hand_over, start
from companion.window.play.play_moves import update
from companion.window.staff.staff_line import StaffSource
from companion.window.written.drafts import DraftKeeper
from companion.window.written.written_keys import WAITING_TABLE, WRITTEN_TABLE, sheet_hints
from companion.window.written.written_state import (
    WrittenState,
    accepted,
    moved,
    next_metre,
    opened,
    other_reading,
)
from companion.window.written.written_view import WrittenView
from fingering.errors import UserError

WRITING_TITLE, REFUSED_TITLE = "Writing it down", "Not written down"
WRITING = "What was played is being written down; this takes a second or two for each minute."
AT_ONCE_S = 0.04
"""Seconds that the window waits for a tune: what is short is written down by then."""

Write = Callable[[Given], NotatedTune]
"""Writes down what was played; runs in a thread of its own. Raises UserError."""

Save = Callable[[Tune, str], Screen]
"""The screen on which a tune is saved; with its text as ABC, below the heading."""


class WrittenScreen:
    """Writes down what was played, and shows it. player: lent meanwhile; let_go: called when the screen closes.

    drafts: keeps the tune as it stands, None to keep none. save: makes the screen on which it is saved. staff: who
    engraves it, None for no staff.
    """

    def __init__(
        self,
        title: str,
        write: Write,
        player: Player,
        sound: SoundSettings,
        save: Save,
        let_go: Callable[[], None],
        drafts: DraftKeeper | None = None,
        staff: StaffSource | None = None,
    ) -> None:
        self.state: WrittenState | None = None
        self._title, self._write, self._sound = title, write, sound
        self._player, self._save, self._let_go = player, save, let_go
        self._drafts, self._staff = drafts, staff
        self._view: WrittenView | None = None
        self._writing: Worker[NotatedTune] | None = None
        self._notice = ""
        self._begin(NOTHING_GIVEN)

    @property
    def is_writing(self) -> bool:
        """Whether the tune is being written down now."""
        return self._writing is not None

    def keycaps(self) -> Sequence[tuple[str, Action]]:
        """The keys in force."""
        return (WRITTEN_TABLE if self.state else WAITING_TABLE).keycaps()

    def sheet(self, display: Display) -> Sequence[Hint]:
        """What the sheet shows."""
        return sheet_hints(self.state, display) if self.state else ()

    def act(self, intent: Intent) -> ScreenResult | Screen:
        """Carry out an intent."""
        if intent is Action.LEAVE:
            return ScreenResult.CLOSE
        state = self.state
        if state is None or self._writing:
            return ScreenResult.STAY
        self._notice = ""
        match intent:
            case Action.CHOOSE if not state.left:
                return self._saving(state)
            case Action.TUNE_SAVE:
                return self._saving(state)
            case Action.CHOOSE:
                after = accepted(state)
                self._show(after, sounds=after.left > 0)
            case Action.BACK | Action.ON:
                self._show(other_reading(state, 1 if intent is Action.ON else -1), sounds=True)
            case Action.TEMPO_UP | Action.TEMPO_DOWN:
                self._show(moved(state, 1 if intent is Action.TEMPO_DOWN else -1), sounds=True)
            case Action.METRE:
                self._begin(Given(next_metre(state.tune.meter)))
            case Action.BEATS_HALF | Action.BEATS_TWICE:
                self._begin_at(state, 2.0 if intent is Action.BEATS_TWICE else 0.5)
            case Action():
                self._played(state, intent)
        return ScreenResult.STAY

    def tick(self) -> None:
        """Take up the tune once it is written down, and keep what was decided."""
        if self._writing:
            self._take_up(self._writing)
        if self._drafts:
            self._drafts.go_on()

    def picture(self, canvas: Canvas) -> Picture:
        """The picture at this moment."""
        if self.state is None or self._writing:
            hints = WAITING_TABLE.at_foot(None, canvas.display)
            if self._notice:
                return list_picture(ListContents(REFUSED_TITLE, (), 0, hints, self._notice, Role.FAULT), canvas)
            return list_picture(ListContents(WRITING_TITLE, (), 0, hints, WRITING, Role.QUIET), canvas)
        if self._view is None or self._view.measure is not canvas.measure:
            self._view = WrittenView(canvas.measure)
        notice = self._notice or (self._drafts.trouble if self._drafts else "")
        return self._view.picture(self.state, canvas, self.position_s(), self._staff, notice)

    def position_s(self) -> float:
        """The present moment of the tune."""
        play = self.state.play if self.state else None
        if play is None:
            return 0.0
        return self._player.position_s() if play.playing else play.position_s

    def press(self, x: float, y: float, canvas: Canvas) -> Intent | None:
        """Nothing but targets can be clicked."""
        return None

    def close(self) -> None:
        """Stop the sound, keep the draft, and give the player back."""
        self._player.pause()
        if self._drafts:
            self._drafts.close()
        self._let_go()

    def _begin(self, given: Given) -> None:
        self._notice = ""
        if self.state:
            self._player.pause()
            self.state = replace(self.state, play=replace(self.state.play, playing=False, position_s=self.position_s()))
        self._writing = Worker(lambda: self._write(given), "writing down")
        self._writing.start()
        self._writing.join(AT_ONCE_S)
        self._take_up(self._writing)

    def _begin_at(self, state: WrittenState, times: float) -> None:
        beats = tempo_of(state.tune).beats_per_minute * times
        low, high = BEATS_PER_MINUTE_RANGE
        if low <= beats <= high:
            self._begin(Given(state.tune.meter, beats))

    def _take_up(self, writing: Worker[NotatedTune]) -> None:
        match writing.outcome:
            case Done(found):
                self._writing = None
                before = self.state.play.sound if self.state else self._sound
                self._show(opened(found.tune, found.doubts, before), sounds=False)
            case Failed(UserError() as error):
                self._writing = None
                self._notice = one_line(f"{error.what}; {error.remedy}")
            case Failed(error):
                self._writing = None
                self._notice = fault_line("it could not be written down", error, "the take itself is kept")

    def _show(self, state: WrittenState, *, sounds: bool) -> None:
        """Go on with a state; sounds: whether the place in hand is heard, round and round."""
        play = replace(state.play, playing=sounds)
        if play.span and sounds:
            play = replace(play, position_s=play.span.start_s)
        self.state = replace(state, play=play)
        self._player.pause()
        start(self._player, play, play.position_s)
        if self._drafts:
            self._drafts.keep(self.text(self.state))

    def _played(self, state: WrittenState, action: Action) -> None:
        """What the playing screen does as well: play, pause, slower, louder."""
        position_s = self.position_s()
        play = update(state.play, action, position_s)
        self.state = replace(state, play=play)
        hand_over(self._player, state.play, play, position_s)

    def _saving(self, state: WrittenState) -> Screen:
        self._player.pause()
        self.state = replace(state, play=replace(state.play, playing=False, position_s=self.position_s()))
        return self._save(state.tune, self.text(state))

    @staticmethod
    def text(state: WrittenState) -> str:
        """The tune as it stands, as ABC, with a comment above each place that is not decided."""
        left = [
            replace(doubt, rank=state.ranks[rank], notes=len(state.notes_of(rank)))
            for rank, doubt in enumerate(state.doubts)
            if rank not in state.settled
        ]
        return commented(state.tune, left)
