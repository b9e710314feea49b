"""The playing screen: keeps a tune, its picture and its sound in step."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType
from typing import TYPE_CHECKING

from companion.files.lines import one_line
from companion.midi.maps.touch import Touch
from companion.schedule.count_in import CountIn
from companion.schedule.practice.rounds import Turn
from companion.score.model import Tune
from companion.score.problems import Problem
from companion.sound.player import Moved, Player
from companion.window.core.actions import Action, Drop, HearAlone, Intent, LetGo, Scrub, Seek
from companion.window.core.display import Display, Hand
from companion.window.core.hints import Hint
from companion.window.core.marks import Picture
from companion.window.core.screen import Canvas, Grab, KeyMove, Screen, ScreenResult
from companion.window.live.tune_run import TuneRun
from companion.window.play.handing import hand_over, in_its_round, run_of, start, turn_now
from companion.window.play.play_keys import PLAY_TABLE
from companion.window.play.play_state import PlayState, last_out_of_set, next_in_set, open_tune, update
from companion.window.play.play_view import PlayView
from companion.window.play.playing_in import Beside
from companion.window.play.practising import Practising
from companion.window.play.preferences import Preferences
from companion.window.play.tools.alone import Alone
from companion.window.play.ways import Chooser, ListensIn

if TYPE_CHECKING:  # see playing_in
    from companion.midi.takes.own_settings import OwnSettings
    from companion.window.live.input import LiveInput
    from companion.window.staff.staff_line import StaffSource

LEAVING = "Esc once more ends the program"
NO_NAVIGATION: Mapping[Action, Callable[[PlayScreen], Screen | None]] = MappingProxyType({})


class PlayScreen:
    """Holds the play state, hands its changes to the player, and asks the player for the time.

    choose: makes the list of tunes. navigation: for an action that opens another screen, the function that makes it;
    where that returns None, none opens. live: what is played in, by `learner` where it is None; "" for whoever never
    said a name. staff: who engraves the tune, None for no staff. guest: the screen that has the player and what is
    played in meanwhile, if one does. news: what was read again of the tune's file, in one line, "" for nothing.
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
        self.state = state
        self.staff = staff
        self._beside = Beside(live, learner)
        self.guest: ListensIn | None = None
        self.chooser = choose
        self._navigation = {Action.TUNES: choose, **navigation}
        self._view: PlayView | None = None
        self._player = player
        self._one_note: Alone | None = None
        self._goes_on = False
        self._hovered: tuple[float, float] | None = None
        self._practising = Practising()
        self.news = ""
        start(player, self.state, state.position_s)

    @property
    def live(self) -> LiveInput:
        """What is played in, made when it is first asked for. Raises UserError where takes cannot be kept."""
        return self._beside.live

    @property
    def own_settings(self) -> OwnSettings:
        """In which settings the learner plays tunes, read when they are first asked for."""
        return self._beside.own_settings

    def use(self, player: Player) -> None:
        """Go on with another player, at the present moment."""
        position_s = self.position_s()
        self._player.close()
        self._player = player
        start(player, self.state, position_s)

    def lend(self) -> Player:
        """Stop, and let another screen use the player until `take_back`."""
        self._end_alone()
        self.state = replace(self.state, playing=False, position_s=self.position_s())
        return self._player

    def take_back(self) -> None:
        """Use the player again, at the moment at which it was lent."""
        self.resume(self.state)

    def resume(self, state: PlayState) -> None:
        """Use the player again, in the state that is given; what is played in is heard beside this tune again."""
        self.guest = None
        self.state = state
        start(self._player, state, state.position_s)

    def play_alone(self, alone: bool) -> None:
        """Stop the tune and give the drones to what is played in, or take them back."""
        self._beside.alone = alone
        if alone and self.state.playing:
            self.act(Action.PLAY)

    @property
    def troubles(self) -> tuple[str, ...]:
        """A line for each thing that failed behind the window's back, "" for each that did not."""
        guests = self.guest.troubles if self.guest else ()
        return self._player.trouble, *self._beside.troubles, *guests

    def listen_in(self) -> None:
        """Take in what was played since the last frame; called once a frame, whichever screen is on top.

        It is heard beside the guest's tune while there is a guest.
        """
        if self.guest:
            self.guest.listen_in()
        else:
            self.gather(self.run_now())
        self._practising.pass_time(self.live, runs=self._player.playing)

    def run_now(self) -> TuneRun | None:
        """Where the tune stands now, None while nothing is listened for."""
        if not self.state.playing:
            return None
        going = self._player.going
        self.state = in_its_round(self.state, going)
        position_s = self.position_s()
        state = self._practising.climbed(replace(self.state, position_s=position_s), going, self.live)
        if state.timing != self.state.timing:
            self._become(state, position_s)
        return run_of(self.state, self._player, self.live.clock(), self.own_settings.of(self.state.tune))

    def gather(self, run: TuneRun | None) -> None:
        """Take in what was played since the last frame, beside a tune that runs."""
        self._beside.gather(run, self.state)

    def take_key(self, move: KeyMove) -> bool:
        """Use one of the eight keys that play, while they do and shift is not held; returns whether it was used."""
        return self._beside.take_key(move)

    def lose_keys(self) -> None:
        """Take all keys to be up, since no release will be told."""
        self._beside.lose_keys()

    def keycaps(self) -> Sequence[tuple[str, Action]]:
        """The keys in force."""
        return PLAY_TABLE.keycaps()

    def sheet(self, display: Display) -> Sequence[Hint]:
        """What the sheet shows."""
        return self.live.of_use(PLAY_TABLE.on_sheet(self.state, display))

    def position_s(self) -> float:
        """The present moment of the tune, in seconds of its schedule; in a count-in, the one at which it starts."""
        count = self.count_now()
        return count.place_s if count else self.shown_s()

    def shown_s(self) -> float:
        """The moment that the lanes have reached; in a count-in it is before the one at which the tune starts."""
        if self._one_note:
            return self._one_note.moment_s(self._player.position_s())
        return self._player.position_s() if self.state.playing else self.state.position_s

    def count_now(self) -> CountIn | None:
        """The count-in that goes on, None while there is none."""
        return self._player.count if self.state.playing else None

    def turn_now(self) -> Turn | None:
        """Whose turn it is in an echo, None elsewhere."""
        return turn_now(self.state, self._player)

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

    def _hear_alone(self, time_s: float, *, repeated: bool) -> None:
        self._end_alone()
        alone = Alone.at(self.state.schedule, time_s, repeated=repeated)
        self.state = replace(self.state, playing=False, position_s=alone.start_s)
        self._player.load(alone.schedule)
        self._player.set_loop(alone.span)
        self._player.play()
        self._one_note = alone

    def _end_alone(self) -> None:
        """Give the tune back to the player, to stand at the note that was heard alone; nothing where none was."""
        if self._one_note:
            self._one_note = None
            self._player.pause()
            start(self._player, self.state, self.state.position_s)

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

    def play_on_keys(self, touch: Touch | None) -> None:
        """Let the computer's keys play in that way; None lets them not play."""
        self._become(replace(self.state, touch=touch), self.position_s())

    def hold_with(self, upper: Hand) -> None:
        """Set the hand at the upper end; the keys under the fingers follow."""
        self._beside.hold_with(upper, self.state.touch)

    def preferences(self, display: Display) -> Preferences:
        """The settings to be kept for the next time."""
        shown = replace(display, full_screen=False)
        state = self.state
        return Preferences(shown, state.sound, state.timing.gracing, state.live, state.ear, state.rounds.rest)

    def tell(self, notice: str) -> None:
        """Show one line to the user."""
        self.state = replace(self.state, notice=one_line(notice))

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

    def close(self) -> None:
        """Stop the sound and finish the take, if there is one."""
        self._beside.close()
        self._player.close()

    def _view_for(self, canvas: Canvas) -> PlayView:
        if self._view is None or self._view.measure is not canvas.measure:
            self._view = PlayView(canvas.measure)
        return self._view

    def _become(self, new: PlayState, stood_at_s: float) -> None:
        old, self.state = self.state, new
        if new.touch is not old.touch:
            self._beside.play_on_keys(new.touch)
        hand_over(self._player, old, new, stood_at_s)
