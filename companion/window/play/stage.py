"""The stage of a tune: its state, its player and who plays in beside it, kept in step, and lent to other screens."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from companion.files.lines import one_line
from companion.midi.maps.touch import Touch
from companion.schedule.count_in import CountIn
from companion.schedule.practice.rounds import Turn
from companion.sound.player import Player
from companion.window.core.display import Hand
from companion.window.core.screen import KeyMove
from companion.window.live.tune_run import TuneRun
from companion.window.play.handing import hand_over, in_its_round, run_of, start, turn_now
from companion.window.play.play_state import PlayState
from companion.window.play.playing_in import Beside
from companion.window.play.practising import Practising
from companion.window.play.tools.alone import Alone
from companion.window.play.ways import ListensIn

if TYPE_CHECKING:  # see playing_in
    from companion.midi.takes.own_settings import OwnSettings
    from companion.window.live.input import LiveInput


class TuneStage:
    """Holds the play state, hands its changes to the player, and asks the player for the time.

    live: what is played in, by `learner` where it is None; "" for whoever never said a name. guest: the screen that has
    the player and what is played in meanwhile, if one does.
    """

    def __init__(self, state: PlayState, player: Player, live: LiveInput | None = None, learner: str = "") -> None:
        self.state = state
        self.guest: ListensIn | None = None
        self._beside = Beside(live, learner)
        self._player = player
        self._one_note: Alone | None = None
        self._practising = Practising()
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

    def play_on_keys(self, touch: Touch | None) -> None:
        """Let the computer's keys play in that way; None lets them not play."""
        self._become(replace(self.state, touch=touch), self.position_s())

    def hold_with(self, upper: Hand) -> None:
        """Set the hand at the upper end; the keys under the fingers follow."""
        self._beside.hold_with(upper, self.state.touch)

    def tell(self, notice: str) -> None:
        """Show one line to the user."""
        self.state = replace(self.state, notice=one_line(notice))

    def close(self) -> None:
        """Stop the sound and finish the take, if there is one."""
        self._beside.close()
        self._player.close()

    def _become(self, new: PlayState, stood_at_s: float) -> None:
        old, self.state = self.state, new
        if new.touch is not old.touch:
            self._beside.play_on_keys(new.touch)
        hand_over(self._player, old, new, stood_at_s)

    @property
    def inputs(self) -> Sequence[LiveInput]:
        """All who play in now: the one who has this screen, and those of the guest's."""
        return self.live, *(self.guest.others if self.guest else ())

    def close_microphones(self) -> None:
        """Close the microphones of all who play in, so that none is opened the next time before one is chosen."""
        if self.guest:
            self.guest.close_microphones()
        self.live.listen_to_nothing()
