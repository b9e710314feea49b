"""The playing screen: a tune on its stage, its picture, its keys and what the pointer asks of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType
from typing import TYPE_CHECKING

from companion.files.lines import one_line
from companion.score.model import Tune
from companion.score.problems import Problem
from companion.sound.player import Moved, Player
from companion.window.core.actions import Action, Drop, HearAlone, Intent, LetGo, Scrub, Seek
from companion.window.core.display import Display
from companion.window.core.hints import Hint
from companion.window.core.marks import Picture
from companion.window.core.screen import Canvas, Grab, Screen, ScreenResult
from companion.window.play.play_keys import PLAY_TABLE
from companion.window.play.play_moves import update
from companion.window.play.play_state import PlayState, last_out_of_set, next_in_set, open_tune
from companion.window.play.play_view import PlayView
from companion.window.play.settings.preferences import Preferences
from companion.window.play.stage import TuneStage
from companion.window.play.ways import Chooser

if TYPE_CHECKING:  # see playing_in
    from companion.window.live.input import LiveInput
    from companion.window.staff.staff_line import StaffSource

LEAVING = "Esc once more ends the program"
NO_NAVIGATION: Mapping[Action, Callable[[PlayScreen], Screen | None]] = MappingProxyType({})


class PlayScreen(TuneStage):
    """A tune that plays, as a screen: its picture, its keys, what pointer and keys ask of it.

    choose: makes the list of tunes. navigation: for an action that opens another screen, the function that makes it;
    where that returns None, none opens. live: what is played in, by `learner` where it is None; "" for whoever never
    said a name. staff: who engraves the tune, None for no staff. news: what was read again of the tune's file, in one
    line, "" for nothing.
    """

    def __init__(
        self,
        state: PlayState,
        player: Player,
        choose: Chooser,
        navigation: Mapping[Action, Callable[[PlayScreen], Screen | None]] = NO_NAVIGATION,
        live: LiveInput | None = None,
        learner: str = "",
        staff: StaffSource | None = None,
    ) -> None:
        super().__init__(state, player, live, learner)
        self.staff = staff
        self.chooser = choose
        self._navigation = {Action.TUNES: choose, **navigation}
        self._view: PlayView | None = None
        self._goes_on = False
        self._hovered: tuple[float, float] | None = None
        self.news = ""

    def play_alone(self, alone: bool) -> None:
        """Stop the tune and give the drones to what is played in, or take them back."""
        self._beside.alone = alone
        if alone and self.state.playing:
            self.act(Action.PLAY)

    def keycaps(self) -> Sequence[tuple[str, Action]]:
        """The keys in force."""
        return PLAY_TABLE.keycaps()

    def sheet(self, display: Display) -> Sequence[Hint]:
        """What the sheet shows."""
        return self.live.of_use(PLAY_TABLE.on_sheet(self.state, display))

    def act(self, intent: Intent) -> ScreenResult | Screen:
        """Carry out an intent."""
        if isinstance(intent, (HearAlone, Scrub, LetGo)):
            return self._pointed(intent)
        self._end_alone()
        match intent:
            case Action.LEAVE:
                return self._leave()
            case Action() if intent in self._navigation:
                return self._navigation[intent](self) or ScreenResult.STAY
            case Drop(path):
                return self.choose_at(path)
            case _:
                position_s = self.position_s()
                stays = replace(self.state, notice="") if self.state.notice == LEAVING else self.state
                self._become(update(stays, intent, position_s), position_s)
                return ScreenResult.STAY

    def _pointed(self, intent: HearAlone | Scrub | LetGo) -> ScreenResult:
        """Carry out what the pointer asks for: a note alone, or the tune dragged along, which goes on when let go."""
        match intent:
            case HearAlone(time_s, repeated):
                self._hear_alone(time_s, repeated=repeated)
            case Scrub(time_s):
                self._end_alone()
                self._goes_on = self._goes_on or self.state.playing
                position_s = self.position_s()
                self._become(replace(update(self.state, Seek(time_s), position_s), playing=False), position_s)
            case LetGo():
                self._end_alone()
                if self._goes_on:
                    self._become(replace(self.state, playing=True), self.state.position_s)
                self._goes_on = False
        return ScreenResult.STAY

    def _leave(self) -> ScreenResult:
        """Take a reminder as seen; else end the program, while a tune plays or a take is kept only once that was said
        and is asked for again.
        """
        if self._practising.seen():
            return ScreenResult.STAY
        running = self.state.playing or self._beside.keeping
        if not running or self.state.notice == LEAVING:
            return ScreenResult.QUIT
        self.tell(LEAVING)
        return ScreenResult.STAY

    def choose_at(self, path: str) -> Screen:
        """The screen on which a tune is chosen, opening the file or folder at `path`."""
        return self.chooser(self, path)

    def open(self, tune: Tune, tunes: tuple[Tune, ...], problems: Sequence[Problem], notice: str = "") -> None:
        """Play a tune from its start, with others beside it; what could not be read of it is shown at its bars."""
        state = replace(self.state, tunes=tunes, notice=one_line(notice), playing=True)
        self._become(open_tune(state, tune, problems), self.position_s())

    def change_set(self, tune: Tune | None) -> str:
        """Let a tune follow the one that plays, or the set; None takes the last one out. Returns the set in words."""
        position_s = self.position_s()
        now = replace(self.state, position_s=position_s)
        self._become(next_in_set(now, tune) if tune else last_out_of_set(now), position_s)
        titles = [each.title for each in self.state.row]
        return f"the set: {', then '.join(titles)}" if titles else ""

    def exchange(self, old: Tune, new: Tune, problems: Sequence[Problem] = ()) -> None:
        """Replace a tune by another reading of it, and open that. problems: those that are left in this reading."""
        tunes = tuple(new if tune is old else tune for tune in self.state.tunes)
        self._become(open_tune(replace(self.state, tunes=tunes, notice=""), new, problems), self.position_s())

    def rewrite(self, state: PlayState, moved: Moved) -> None:
        """Go on in the tune as it was written anew, and as `state` has it. moved: from moments of before to its own."""
        self._end_alone()
        self.state = state
        self._player.rewrite(state.schedule, moved, state.repeat)
        if not state.playing:
            self._player.seek(state.position_s)  # exactly where the picture stands

    def preferences(self, display: Display) -> Preferences:
        """The settings to be kept for the next time."""
        shown = replace(display, full_screen=False)
        state = self.state
        return Preferences(shown, state.sound, state.timing.gracing, state.live, state.ear, state.rounds.rest)

    def tick(self) -> None:
        """Stop at the end of a note that is heard alone; at that of what is not repeated, go back to its start."""
        if self._one_note and self._one_note.is_over(self._player.position_s()):
            self._end_alone()
        ends = self.state.ends
        if self.state.playing and ends and self._player.position_s() >= ends.end_s:
            self._become(replace(self.state, playing=False, position_s=ends.start_s), self.position_s())

    def picture(self, canvas: Canvas) -> Picture:
        """The picture at this moment."""
        self.hold_with(canvas.display.upper_hand)
        count, now_s = self.count_now(), self.shown_s()
        told = self._beside.told(self.state, now_s)
        seen = self._practising.reminded(self._beside.seen(now_s))
        turn = self.turn_now()
        return self._view_for(canvas).picture(
            self.state,
            canvas.display,
            now_s,
            canvas.width,
            canvas.height,
            replace(seen, news=self.news or seen.news),
            told,
            self._hovered,
            count,
            turn,
            self.staff,
        )

    def press(self, x: float, y: float, canvas: Canvas) -> Intent | None:
        """Nothing but targets can be clicked; what is no target is taken hold of."""
        return None

    def grab(self, x: float, y: float, canvas: Canvas) -> Grab | None:
        """The lanes and the staff, to be dragged through time, or the names below, to mark what is repeated."""
        now_s, view = self.shown_s(), self._view_for(canvas)
        return view.grab_at(self.state, canvas, (x, y), now_s, self._beside.seen(now_s), self.staff)

    def hover(self, at: tuple[float, float] | None) -> None:
        """Where the pointer rests: what lies there is named."""
        self._hovered = at

    def _view_for(self, canvas: Canvas) -> PlayView:
        if self._view is None or self._view.measure is not canvas.measure:
            self._view = PlayView(canvas.measure)
        return self._view
