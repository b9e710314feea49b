"""What is counted while somebody practises: how far a tempo has climbed, how long the hands have played."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from companion.schedule.practice.ladder import Climb, Ladder, step_up
from companion.schedule.practice.rounds import Going
from companion.window.lanes.played_in import PlayedIn
from companion.window.play.play_state import PlayState, retime
from companion.window.play.tools.hands_rest import SAID, HandsRest

if TYPE_CHECKING:  # see playing_in
    from companion.window.live.input import LiveInput

LATELY_S = 10.0
"""A player whose last note is no longer ago than this still plays: hands do not rest between two phrases."""


class Practising:
    """Counts rounds and minutes from frame to frame. For one thread."""

    def __init__(self) -> None:
        self._climb = Climb()
        self._hands = HandsRest()

    def climbed(self, state: PlayState, going: Going | None, live: LiveInput) -> PlayState:
        """The state once its tempo rose, if a round is over after which it does.

        A round in which nothing is found is a clean one, if something was played in it or nothing can be played in.
        """
        if going is None or state.rounds.ladder is Ladder.OFF:
            self._climb = Climb()
            return state
        clean = not live.ear.findings and (live.ear.hears or not live.choice.name)
        self._climb, rises = self._climb.after(going.times, state.rounds.ladder, clean=clean)
        timing = step_up(state.tune, state.timing) if rises else state.timing
        return state if timing == state.timing else retime(state, timing)

    def pass_time(self, live: LiveInput, *, runs: bool) -> None:
        """A frame has passed. runs: whether a tune runs, to which those play of whose instrument nothing is heard."""
        now_s = live.clock()
        playing = now_s - live.played_s < LATELY_S if live.choice.name else runs
        self._hands = self._hands.after(now_s, playing=playing)

    def reminded(self, played: PlayedIn) -> PlayedIn:
        """What is shown of what is played in, with the line that the hands are to rest if it is time; no trouble gives
        way to that.
        """
        return replace(played, words=SAID, kept="") if self._hands.due else played

    def seen(self) -> bool:
        """Take that line as seen; returns whether there was one."""
        due, self._hands = self._hands.due, self._hands.seen() if self._hands.due else self._hands
        return due
