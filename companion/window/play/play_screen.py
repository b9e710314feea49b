"""The playing screen: keeps a tune, its picture and its sound in step."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType
from typing import TYPE_CHECKING

from companion.files.lines import one_line
from companion.midi.maps.touch import Touch
from companion.schedule.count_in import CountIn
from companion.score.model import Tune
from companion.score.problems import Problem
from companion.sound.player import Player
from companion.sound.settings import live_settings
from companion.window.core.actions import Action, Drop, HearAlone, Intent, LetGo, Scrub, Seek
from companion.window.core.display import Display, Hand
from companion.window.core.hints import Hint
from companion.window.core.marks import Picture
from companion.window.core.screen import Canvas, Grab, KeyMove, Screen, ScreenResult
from companion.window.live.tune_run import TuneRun
from companion.window.play.alone import Alone
from companion.window.play.play_keys import PLAY_TABLE
from companion.window.play.play_state import PlayState, open_tune, update
from companion.window.play.play_view import PlayView
from companion.window.play.playing_in import beside, live_input, own_settings, played_keys, told_now
from companion.window.play.preferences import Preferences
from companion.window.play.ways import Chooser, ListensIn

if TYPE_CHECKING:  # see playing_in
    from companion.midi.takes.own_settings import OwnSettings
    from companion.window.live.input import LiveInput

LEAVING = "Esc once more ends the program"
NO_NAVIGATION: Mapping[Action, Callable[[PlayScreen], Screen | None]] = MappingProxyType({})


class PlayScreen:
    """Holds the play state, hands its changes to the player, and asks the player for the time.

    choose: makes the list of tunes. navigation: for an action that opens another screen, the function that makes it;
    where that returns None, none opens. live: what is played in. guest: the screen that has the player and what is
    played in meanwhile, if one does.
    """

    def __init__(
        self,
        state: PlayState,
        player: Player,
        choose: Chooser,
        navigation: Mapping[Action, Callable[[PlayScreen], Screen | None]] = NO_NAVIGATION,
        live: LiveInput | None = None,
    ) -> None:
        self.state = state
        self._live = live
        self.guest: ListensIn | None = None
        self._alone = False
        self._hand = Hand.LEFT
        self.chooser = choose
        self._navigation = {Action.TUNES: choose, **navigation}
        self._view: PlayView | None = None
        self._player = player
        self._own_settings: OwnSettings | None = None
        self._one_note: Alone | None = None
        self._goes_on = False
        self._hovered: tuple[float, float] | None = None
        self._start(player, state.position_s)

    @property
    def live(self) -> LiveInput:
        """What is played in, made when it is first asked for. Raises UserError where takes cannot be kept."""
        if self._live is None:
            self._live = live_input()
        return self._live

    @property
    def own_settings(self) -> OwnSettings:
        """In which settings the learner plays tunes, read when they are first asked for."""
        if self._own_settings is None:
            self._own_settings = own_settings()
        return self._own_settings

    def use(self, player: Player) -> None:
        """Go on with another player, at the present moment."""
        position_s = self.position_s()
        self._player.close()
        self._player = player
        self._start(player, position_s)

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
        self._start(self._player, state.position_s)

    def play_alone(self, alone: bool) -> None:
        """Stop the tune and give the drones to what is played in, or take them back."""
        self._alone = alone
        if alone and self.state.playing:
            self.act(Action.PLAY)

    @property
    def troubles(self) -> tuple[str, ...]:
        """A line for each thing that failed behind the window's back, "" for each that did not."""
        settings_trouble = self._own_settings.trouble if self._own_settings else ""
        guests = self.guest.troubles if self.guest else ()
        return self._player.trouble, settings_trouble, *self.live.troubles, *guests

    def listen_in(self) -> None:
        """Take in what was played since the last frame; called once a frame, whichever screen is on top.

        It is heard beside the guest's tune while there is a guest.
        """
        if self.guest:
            self.guest.listen_in()
        else:
            self.gather(self.run_now())

    def run_now(self) -> TuneRun | None:
        """Where the tune stands now, None while it does not run."""
        if not self.state.playing:
            return None
        at_s, position_s, count = self.live.clock(), self._player.position_s(), self._player.count
        metronome = self.state.sound.metronome_level > 0.0
        tune, starts_s = self.state.tune, count.place_s if count else None
        own = self.own_settings.of(tune)
        return TuneRun(tune, self.state.timing, at_s, position_s, metronome, own, starts_s, stretch=self.state.stretch)

    def gather(self, run: TuneRun | None) -> None:
        """Take in what was played since the last frame, beside a tune that runs."""
        self.live.ear.settings = self.state.ear
        self.live.gather(run)
        if self.live.choice.name:
            live = self.state.live
            self.live.sound.use(live_settings(self.state.sound, live.level, drones=self._alone), live.way)

    def take_key(self, move: KeyMove) -> bool:
        """Use one of the eight keys that play, while they do and shift is not held; returns whether it was used."""
        keys = self._live.choice.keys if self._live else None
        if keys is None or not keys.takes(move.scancode) or (move.down and move.shifted):
            return False
        keys.move(move.scancode, down=move.down)
        return True

    def lose_keys(self) -> None:
        """Take all keys to be up, since no release will be told."""
        if self._live and self._live.choice.keys:
            self._live.choice.keys.let_go()

    def _start(self, player: Player, position_s: float) -> None:
        player.set_sound(self.state.sound)
        player.load(self.state.schedule, position_s)
        player.set_loop(self.state.span)
        if self.state.playing:
            player.play()

    def keycaps(self) -> Sequence[tuple[str, Action]]:
        """The keys in force."""
        return PLAY_TABLE.keycaps()

    def sheet(self, display: Display) -> Sequence[Hint]:
        """What the sheet shows."""
        return PLAY_TABLE.on_sheet(self.state, display)

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
            self._start(self._player, self.state.position_s)

    def _leave(self) -> ScreenResult:
        """End the program; while a tune plays or a take is kept, only once that was said and is asked for again."""
        running = self.state.playing or (self._live is not None and self._live.keeping)
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

    def exchange(self, old: Tune, new: Tune, problems: Sequence[Problem] = ()) -> None:
        """Replace a tune by another reading of it, and open that. problems: those that are left in this reading."""
        tunes = tuple(new if tune is old else tune for tune in self.state.tunes)
        self._become(open_tune(replace(self.state, tunes=tunes, notice=""), new, problems), self.position_s())

    def play_on_keys(self, touch: Touch | None) -> None:
        """Let the computer's keys play in that way; None lets them not play."""
        self._become(replace(self.state, touch=touch), self.position_s())

    def hold_with(self, upper: Hand) -> None:
        """Set the hand at the upper end; the keys under the fingers follow."""
        if upper is not self._hand:
            self._hand = upper
            if self.state.touch:
                self._play_keys(self.state.touch)

    def _play_keys(self, touch: Touch | None) -> None:
        self.live.play_keys(played_keys(self.live, self._hand, touch) if touch else None)

    def preferences(self, display: Display) -> Preferences:
        """The settings to be kept for the next time."""
        shown = replace(display, full_screen=False)
        return Preferences(shown, self.state.sound, self.state.timing.gracing, self.state.live, self.state.ear)

    def tell(self, notice: str) -> None:
        """Show one line to the user."""
        self.state = replace(self.state, notice=one_line(notice))

    def tick(self) -> None:
        """Stop at the end of a note that is heard alone; at that of a tune that is not repeated, go to its start."""
        if self._one_note and self._one_note.is_over(self._player.position_s()):
            self._end_alone()
        if (
            self.state.playing
            and self.state.span is None
            and self._player.position_s() >= self.state.schedule.duration_s
        ):
            first_s = self.state.schedule.events[0].start_s
            self._become(replace(self.state, playing=False, position_s=first_s), self.position_s())

    def picture(self, canvas: Canvas) -> Picture:
        """The picture at this moment."""
        self.hold_with(canvas.display.upper_hand)
        count, now_s = self.count_now(), self.shown_s()
        told, played = told_now(self._live, self.state, now_s), beside(self._live, now_s)
        return self._view_for(canvas).picture(
            self.state, canvas.display, now_s, canvas.width, canvas.height, played, told, self._hovered, count
        )

    def press(self, x: float, y: float, canvas: Canvas) -> Intent | None:
        """Nothing but targets can be clicked; what is no target is taken hold of."""
        return None

    def grab(self, x: float, y: float, canvas: Canvas) -> Grab | None:
        """The lanes, to be dragged through time, or the names below them, to mark what is repeated."""
        now_s = self.shown_s()
        return self._view_for(canvas).grab_at(self.state, canvas, (x, y), now_s, beside(self._live, now_s))

    def hover(self, at: tuple[float, float] | None) -> None:
        """Where the pointer rests: what lies there is named."""
        self._hovered = at

    def close(self) -> None:
        """Stop the sound and finish the take, if there is one."""
        if self._live:
            self._live.close()
        self._player.close()

    def _view_for(self, canvas: Canvas) -> PlayView:
        if self._view is None or self._view.measure is not canvas.measure:
            self._view = PlayView(canvas.measure)
        return self._view

    def _become(self, new: PlayState, stood_at_s: float) -> None:
        old, self.state = self.state, new
        if new.touch is not old.touch:
            self._play_keys(new.touch)
        if new.sound != old.sound:
            self._player.set_sound(new.sound)
        if new.tune is not old.tune:
            self._player.load(new.schedule, new.position_s)
        elif new.schedule is not old.schedule:
            self._player.retime(new.schedule)
        elif new.position_s != stood_at_s:
            self._player.seek(new.position_s)
        if new.span != old.span or new.schedule is not old.schedule:
            self._player.set_loop(new.span)
        if new.playing != old.playing:
            (self._player.play if new.playing else self._player.pause)()
