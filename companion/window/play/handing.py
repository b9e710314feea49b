"""Hands what changed in the state of a playing screen to its player, and tells where that stands in what it plays."""

from __future__ import annotations

from dataclasses import replace

from companion.schedule.practice.rounds import Echo, Going, Rest, Turn
from companion.score.setting import Setting
from companion.sound.player import Player
from companion.window.live.tune_run import TuneRun
from companion.window.play.play_state import PlayState

SAME_S = 0.001
"""Two stretches that begin so close are one: a player has them in whole frames."""

LEARNER_READY_S = 0.25
"""In an echo, listening begins so many seconds before the learner's turn: somewhat more than the time by which a first
note may come early and still count as that note."""


def start(player: Player, state: PlayState, position_s: float) -> None:
    """Have a player play the tune of a state from a place on, or stand there."""
    player.set_sound(state.sounding)
    player.load(state.schedule, position_s)
    player.repeat(state.repeat)
    if state.playing:
        player.play()


def hand_over(player: Player, old: PlayState, new: PlayState, stood_at_s: float) -> None:
    """Have a player that played the one state, and stood at `stood_at_s`, play the other."""
    if new.sounding != old.sounding:
        player.set_sound(new.sounding)
    if new.tune is not old.tune and not (_begins_alike(old, new) and new.position_s == stood_at_s):
        player.load(new.schedule, new.position_s)
    elif new.schedule is not old.schedule:
        if new.tune is not old.tune:
            player.repeat(None)  # whose stretch may be of a tune that is left out
        player.retime(new.schedule)
    elif new.position_s != stood_at_s:
        player.seek(new.position_s)
    if (new.span, new.rounds) != (old.span, old.rounds) or new.schedule is not old.schedule:
        player.repeat(new.repeat)
    if new.playing != old.playing:
        (player.play if new.playing else player.pause)()


def _begins_alike(old: PlayState, new: PlayState) -> bool:
    """Whether one of two sets is the other with more tunes after it, so that what plays of it need not stop."""
    if not (old.row or new.row) or old.timing != new.timing:
        return False
    shorter, longer = sorted((old.tune, new.tune), key=lambda tune: len(tune.bars))
    return longer.bars[: len(shorter.bars)] == shorter.bars and longer.order[: len(shorter.order)] == shorter.order


def in_its_round(state: PlayState, going: Going | None) -> PlayState:
    """The state with the stretch of the round that is heard, where several are played one after the other."""
    if not state.playing or going is None or state.rounds.echo is not Echo.ON or state.span is None:
        return state
    if abs(going.round.span.start_s - state.span.start_s) < SAME_S:
        return state
    repeat = state.repeat
    if repeat is None or going.round.place >= len(repeat.spans) or repeat.spans[going.round.place] == state.span:
        return state
    return replace(state, span=repeat.spans[going.round.place])


def turn_now(state: PlayState, player: Player) -> Turn | None:
    """Whose turn it is, None where nobody's but the tool's comes."""
    going = player.going if state.playing and state.rounds.echo is not Echo.OFF else None
    return going.round.turn if going else None


def run_of(state: PlayState, player: Player, clock_s: float, own: Setting) -> TuneRun | None:
    """Where the tune stands when the clock of what is played shows `clock_s`, for the ear; None where it hears nothing:
    while the tune stands, and in the tool's turn of an echo.
    """
    if not state.playing:
        return None
    position_s, count, turn = player.position_s(), player.count, turn_now(state, player)
    starts_s = count.place_s if count else None
    if turn is Turn.TOOL:
        span = state.span
        if span is None or count or state.rounds.rest is not Rest.NONE or span.end_s - position_s > LEARNER_READY_S:
            return None
        position_s, starts_s = span.start_s - (span.end_s - position_s), span.start_s
    metronome = state.sound.metronome_level > 0.0
    return TuneRun(state.tune, state.timing, clock_s, position_s, metronome, own, starts_s, stretch=state.stretch)
