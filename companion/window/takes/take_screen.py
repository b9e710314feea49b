"""A take, played back in the window: its fingers and its sound, at any slow-down, with what a teacher would say."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from companion.hearing.takes.sound_take import SoundTake
from companion.listen.verdict.verdict import Verdict
from companion.midi.takes.own_settings import OwnSettings
from companion.schedule.crossing import NamedTransition
from companion.schedule.spans import Span
from companion.score.model import Tune
from companion.sound.player import Player
from companion.window.core.actions import Action, Intent
from companion.window.core.display import Display
from companion.window.core.hints import Hint, of_use
from companion.window.core.marks import Picture
from companion.window.core.screen import Canvas, Grab, Screen, ScreenResult
from companion.window.staff.staff_line import StaffSource
from companion.window.takes.opening.tunes_near import TunesNear
from companion.window.takes.recorded.take_sound import HearingSound, opened_sound, playback_gain
from companion.window.takes.review import Review, Reviewing
from companion.window.takes.take_drills import drilled, movement_of
from companion.window.takes.take_keys import TAKE_KEYS
from companion.window.takes.take_moves import choose_finding, judged, mark, next_turn, update_take
from companion.window.takes.take_state import (
    Round,
    SoundedSide,
    TakeState,
    asked_schedule,
    heard_s,
    heard_schedule,
    laid_beside,
    taken_s,
    with_sound,
)
from companion.window.takes.take_view import TakeView
from companion.window.takes.take_words import trouble_words
from companion.window.takes.verdict_screen import VerdictScreen

TURN_WITHIN_S = 0.001
"""A stretch is over this long before its end, in seconds: a player at its very end may tell a little less."""

Count = Callable[[SoundTake, Tune], None]
"""Counts a take that was heard in its sound as practice of its tune."""

OpenCrossing = Callable[[NamedTransition, float, Player, Callable[[], None]], Screen]
"""Opens the crossing screen over a take, so many times slower, on the player that it lends; the last argument is called
when that screen goes."""


class TakeScreen:
    """Borrows the player of the screen beneath; `give_back` returns it. `open_crossing` shows a crossing to drill.

    own_settings: in which settings the learner plays tunes. staff: who engraves what was asked, None for no staff.
    count: is told of a take that was heard in its sound, and of its tune, once it was judged. near: where its tune may
    be found, if it is another one.

    A take that has its sound is heard in that first, which takes seconds; until then what was told while it was played
    is shown, if anything was.
    """

    def __init__(
        self,
        state: TakeState,
        player: Player,
        give_back: Callable[[], None],
        open_crossing: OpenCrossing | None = None,
        own_settings: OwnSettings | None = None,
        staff: StaffSource | None = None,
        count: Count | None = None,
        near: TunesNear | None = None,
    ) -> None:
        self._staff = staff
        self._count = count
        self._near = near
        self._own_settings = own_settings or OwnSettings(None)
        self.state = replace(state, setting=self._own_settings.of(state.asked.tune) if state.asked else ())
        self._player = player
        self._give_back = give_back
        self._open_crossing = open_crossing
        self._view: TakeView | None = None
        self._sound = opened_sound(state.take)
        self._gain = playback_gain(state)
        self._hearing = HearingSound(state.take) if state.take.sound and state.by_sound is None else None
        self.state = replace(self.state, hearing_share=self._hearing.share if self._hearing else None)
        self._reviewing = self._begin_review()
        player.pause()
        self._load()

    def keycaps(self) -> Sequence[tuple[str, Action]]:
        """The keys in force."""
        return TAKE_KEYS.keycaps()

    def sheet(self, display: Display) -> Sequence[Hint]:
        """What the sheet shows."""
        return of_use(TAKE_KEYS.on_sheet(self.state, display))

    def position_s(self) -> float:
        """Where the take stands."""
        if not self.state.playing:
            return self.state.position_s
        heard = self._player.position_s()
        return heard / self.state.slow_down if self._asked_sounds else taken_s(self.state, heard)

    def act(self, intent: Intent) -> ScreenResult | Screen:
        """Carry out an intent."""
        match intent:
            case Action.LEAVE if self.state.loop is None:
                return ScreenResult.CLOSE
            case Action.VERDICT if self.state.review and self.state.review.verdict:
                return self._show_verdict(self.state.review.verdict)
            case Action.CHOOSE if self.state.review and self.state.review.rather:
                self._lay_beside(self.state.review.rather)
                return ScreenResult.STAY
            case Action.CHOOSE if self.state.matter is not None:
                return self._drill(self.state.marked)
            case _:
                position_s = self.position_s()
                setting = self.state.setting
                self._become(update_take(self.state, intent, position_s), position_s)
                if self.state.setting != setting:
                    self._keep_setting()
                if intent is Action.STRICTNESS or self.state.setting != setting:
                    self._reviewing = self._begin_review()
                return ScreenResult.STAY

    def tick(self) -> None:
        """Take in what was heard, and the review, once they are there; at its end the take stops, and stands at its
        start again. Of what is heard in turn, each side gives way to the other at its end."""
        self._take_in_hearing()
        if self._reviewing and self._reviewing.result:
            position_s = self.position_s()
            self._become(judged(replace(self.state, position_s=position_s), self._reviewing.result), position_s)
            self._reviewing = None
            self._be_counted()
        loop = self.state.loop
        if self.state.playing and loop and self._in_turn and self.position_s() >= loop.end_s - TURN_WITHIN_S:
            self._become(next_turn(self.state), self.position_s())
        if self.state.playing and self.state.loop is None and self.position_s() >= self.state.take.end_s:
            stopped = replace(self.state, playing=False, position_s=self.state.begin_s)
            self._become(stopped, self.position_s())

    def finish_review(self) -> None:
        """Wait for the review, for a picture that must not be taken before it."""
        if self._hearing:
            self._hearing.wait()
            self.tick()
        if self._reviewing:
            self._reviewing.wait()
            self.tick()

    def look_at(self, rank: int) -> None:
        """Go to a finding, by its rank."""
        self._become(choose_finding(self.state, rank), self.position_s())

    def picture(self, canvas: Canvas) -> Picture:
        """The picture at this moment."""
        view = self._view_for(canvas)
        return view.picture(self.state, canvas.display, self.position_s(), canvas.width, canvas.height, self._staff)

    def press(self, x: float, y: float, canvas: Canvas) -> Intent | None:
        """Nothing but targets can be clicked; what is no target is taken hold of."""
        return None

    def grab(self, x: float, y: float, canvas: Canvas) -> Grab | None:
        """The lanes, to be dragged through time, and the notes on the staff."""
        size, at_s = (canvas.width, canvas.height), self.position_s()
        return self._view_for(canvas).grab_at(self.state, canvas.display, (x, y), at_s, size, self._staff)

    def hover(self, at: tuple[float, float] | None) -> None:
        """Nothing is named under the pointer."""

    def close(self) -> None:
        """The player goes back to the screen beneath."""
        self._player.pause()
        self._give_back()

    def _begin_review(self) -> Reviewing | None:
        state = self.state
        if state.asked is None or self._hearing:
            return None
        return Reviewing(state.take, state.asked, state.strictness, state.setting, state.by_sound, self._near)

    def _lay_beside(self, tune: Tune) -> None:
        """Go on with the take as one of another tune, in the learner's own setting of that."""
        position_s = self.position_s()
        stands = replace(self.state, position_s=position_s)
        self._become(replace(laid_beside(stands, tune), setting=self._own_settings.of(tune)), position_s)
        self._reviewing = self._begin_review()

    def _be_counted(self) -> None:
        state = self.state
        if self._count and state.by_sound and state.asked and state.review and state.review.verdict:
            self._count(state.by_sound, state.asked.tune)
            self._count = None

    def _take_in_hearing(self) -> None:
        """Follow the hearing of the sound; once that is over, the take is what was heard, and its review begins. Where
        nothing was heard, it is what was told while it was played, if anything was."""
        if self._hearing is None:
            return
        result = self._hearing.result
        if result is None:
            self.state = replace(self.state, hearing_share=self._hearing.share)
            return
        self._hearing = None
        position_s = self.position_s()
        stands = replace(self.state, position_s=position_s, hearing_share=None)
        if isinstance(result, SoundTake):
            self._become(replace(with_sound(stands, result), notice=trouble_words(result)), position_s)
        else:
            refused = not stands.take.events and stands.asked is not None
            review = Review(stands.strictness, refusal=result) if refused else None
            self._become(replace(stands, notice=result, review=review), position_s)
        if self.state.review is None:
            self._reviewing = self._begin_review()

    def _keep_setting(self) -> None:
        """Keep the learner's setting of the tune; what hinders that is told."""
        if self.state.asked:
            self._own_settings.change(self.state.asked.tune, self.state.setting)
        if self._own_settings.trouble:
            self.state = replace(self.state, notice=self._own_settings.trouble)

    def _show_verdict(self, verdict: Verdict) -> Screen:
        position_s = self.position_s()
        self._become(replace(self.state, playing=False, position_s=position_s), position_s)
        return VerdictScreen(verdict, self._drill_from_verdict, self._say_setting)

    def _drill(self, rank: int) -> ScreenResult | Screen:
        """The drill for a thing to mend: the crossing where fingers crossed, else its notes over and over, slowed."""
        verdict = self.state.review.verdict if self.state.review else None
        if verdict is None or self.state.asked is None:
            return ScreenResult.STAY
        matter = verdict.matters[rank]
        self._become(mark(self.state, rank), self.position_s())
        named = movement_of(self.state.asked.schedule, matter.findings[0])
        if named and self._open_crossing:
            return self._open_crossing(named, matter.drill.slow_down, self._player, self._load)
        self._become(drilled(self.state, matter), self.position_s())
        return ScreenResult.STAY

    def _drill_from_verdict(self, rank: int) -> ScreenResult | Screen:
        opened = self._drill(rank)
        return ScreenResult.CLOSE if opened is ScreenResult.STAY else opened

    def _say_setting(self) -> ScreenResult:
        """From the verdict: that what is played otherwise is the learner's setting, all of it."""
        self.state = replace(self.state, chosen=None)
        self.act(Action.OWN_SETTING)
        return ScreenResult.CLOSE

    @property
    def _in_turn(self) -> bool:
        return self.state.round is Round.IN_TURN

    @property
    def _asked_sounds(self) -> bool:
        return self.state.sounding is SoundedSide.ASKED and self.state.asked is not None

    def _view_for(self, canvas: Canvas) -> TakeView:
        if self._view is None or self._view.measure is not canvas.measure:
            self._view = TakeView(canvas.measure)
        return self._view

    def _load(self) -> None:
        """Give the player what is to be heard, where the take stands."""
        asked = asked_schedule(self.state) if self._asked_sounds else None
        recorded = self._sound.beside(self.state, self._gain) if self._sound and not asked else None
        self._player.load(asked or heard_schedule(self.state), self._heard_s(self.state.position_s), recorded)
        loop = self.state.loop if not self._in_turn else None
        self._player.set_loop(loop and Span(self._heard_s(loop.start_s), self._heard_s(loop.end_s)))
        if self.state.playing:
            self._player.play()

    def _heard_s(self, take_s: float) -> float:
        return max(0.0, take_s) * self.state.slow_down if self._asked_sounds else heard_s(self.state, take_s)

    def _become(self, new: TakeState, stood_at_s: float) -> None:
        """Go on with a state. A recording gets no louder while it plays: a jump would hurt whoever has turned it up."""
        old, self.state = self.state, new
        gain, self._gain = self._gain, self._gain if old.playing and new.playing else playback_gain(new)
        if _heard(new) != _heard(old) or gain != self._gain:
            self._load()
        elif new.position_s != stood_at_s:
            self._player.seek(self._heard_s(new.position_s))
        if new.playing != old.playing:
            (self._player.play if new.playing else self._player.pause)()


def _heard(state: TakeState) -> tuple[object, ...]:
    """What decides, beside where the take stands, what a player is given."""
    return state.slow_down, state.sounding, state.loop, state.round, state.by_sound
