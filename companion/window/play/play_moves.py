"""What intents do to the playing screen's state: to its place, its pace, its sound. Pure: no pygame, no clock."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from enum import Enum

from companion.listen.model.strictness import Strictness
from companion.midi.maps.touch import Touch
from companion.schedule.bars import Ticking
from companion.schedule.practice.ladder import Ladder
from companion.schedule.practice.rounds import Echo, Rest
from companion.schedule.spans import Extent, Span, neighbour_phrase_s, step
from companion.schedule.timing import BEATS_PER_MINUTE_RANGE, SLOWEST, Gracing, Timing
from companion.sound.settings import LOW_A_RANGE_HZ, LatencyMode, LiveSettings, SoundSettings, Voice
from companion.window.core.actions import Action, Intent, Pick, RepeatBetween, Seek
from companion.window.core.display import following
from companion.window.lanes.told import EarSettings, Feedback
from companion.window.play.play_state import PlayState, open_tune, respan, retime
from companion.window.play.tools.round_settings import RoundSettings
from companion.window.play.tools.solo import Solo

SLOW_DOWNS = (1.0, 1.5, 2.0, 3.0, 4.0, 6.0, 8.0, 12.0, 16.0, 24.0, SLOWEST)
LEVELS = (0.0, 0.25, 0.5, 1.0)
TEMPO_STEP = 2.0
PITCH_STEP_HZ = 2.0
REPEATS = (Extent.TUNE, Extent.PART, Extent.PHRASE, Extent.BAR, Extent.EMBELLISHMENT, Extent.NOTHING)


def update(state: PlayState, intent: Intent, position_s: float) -> PlayState:
    """The state after an intent that came while the tune stood at `position_s`."""
    now = replace(state, position_s=position_s)
    match intent:
        case Seek(time_s):
            moved = replace(now, position_s=min(max(time_s, now.schedule.events[0].start_s), _last_s(now)))
            return respan(moved)
        case RepeatBetween(one_s, other_s):
            return _stretch(now, one_s, other_s)
        case Pick(rank):
            return open_tune(now, now.tunes[rank])
        case Action():
            change = _CHANGES.get(intent)
            return change(now) if change else now
        case _:
            return now


def _stretch(state: PlayState, one_s: float, other_s: float) -> PlayState:
    """The state in which the notes between two moments are repeated, their embellishments with them."""
    first, last = sorted((one_s, other_s))
    events = state.schedule.events
    start, end = events[state.schedule.event_index_at(first)], events[state.schedule.event_index_at(last)]
    start_s = next(event.start_s for event in events if event.played == start.played)
    end_s = next(event.end_s for event in reversed(events) if event.played == end.played)
    return replace(state, span=Span(start_s, end_s), marked=True, position_s=start_s)


def _last_s(state: PlayState) -> float:
    return state.schedule.states[-1].at_s


def _step(state: PlayState, movements: int) -> PlayState:
    """The state some movements on, paused to look at one; the stretch that is repeated stays as it is."""
    return replace(state, playing=False, position_s=step(state.schedule, state.position_s, movements))


def _phrase(state: PlayState, steps: int) -> PlayState:
    return respan(replace(state, position_s=neighbour_phrase_s(state.tune, state.schedule, state.position_s, steps)))


def next_slow_down(slow_down: float, steps: int) -> float:
    """The slow-down `steps` further on in the short list that a key goes through."""
    nearest = min(range(len(SLOW_DOWNS)), key=lambda i: abs(SLOW_DOWNS[i] - slow_down))
    return SLOW_DOWNS[min(max(nearest + steps, 0), len(SLOW_DOWNS) - 1)]


def _slow_down(state: PlayState, steps: int) -> PlayState:
    return retime(state, replace(state.timing, slow_down=next_slow_down(state.timing.slow_down, steps)))


def _tempo(state: PlayState, change: float) -> PlayState:
    low, high = BEATS_PER_MINUTE_RANGE
    return retime(state, replace(state.timing, beats_per_minute=min(max(state.beats_per_minute + change, low), high)))


def _gracing(state: PlayState) -> PlayState:
    return retime(state, replace(state.timing, gracing=following(tuple(Gracing), state.timing.gracing)))


def _extent(state: PlayState) -> PlayState:
    return respan(replace(state, extent=following(REPEATS, state.extent), marked=False))


def _rest(state: PlayState) -> PlayState:
    return replace(state, rounds=replace(state.rounds, rest=following(tuple(Rest), state.rounds.rest)))


def _echo(state: PlayState) -> PlayState:
    """Another echo; of a whole tune, or where nothing is repeated, of its phrases."""
    echo = following(tuple(Echo), state.rounds.echo)
    new = replace(state, rounds=replace(state.rounds, echo=echo))
    if echo is Echo.OFF or state.marked or state.extent not in (Extent.TUNE, Extent.NOTHING):
        return new
    return respan(replace(new, extent=Extent.PHRASE))


def _ladder(state: PlayState) -> PlayState:
    return replace(state, rounds=replace(state.rounds, ladder=following(tuple(Ladder), state.rounds.ladder)))


def _pitch(state: PlayState, change_hz: float) -> PlayState:
    low, high = LOW_A_RANGE_HZ
    low_a_hz = min(max(state.sound.low_a_hz + change_hz, low), high)
    return replace(state, sound=replace(state.sound, low_a_hz=low_a_hz))


def _voice(state: PlayState) -> PlayState:
    return replace(state, sound=replace(state.sound, voice=following(tuple(Voice), state.sound.voice)))


def next_level(level: float) -> float:
    """The next level in the short list that a key goes through, from silent to full and round again."""
    return next((each for each in LEVELS if each > level + 1e-9), LEVELS[0])


def _solo(state: PlayState, solo: Solo) -> PlayState:
    """The state in which that voice is heard alone, or no longer is."""
    return replace(state, solo=Solo.NONE if state.solo is solo else solo)


def _chanter(state: PlayState) -> PlayState:
    if state.solo is Solo.DRONES:  # it comes back as it was
        return replace(state, solo=Solo.NONE)
    return replace(state, sound=replace(state.sound, chanter_level=next_level(state.sound.chanter_level)))


def _drones(state: PlayState) -> PlayState:
    if state.solo is Solo.CHANTER:
        return replace(state, solo=Solo.NONE)
    return replace(state, sound=replace(state.sound, drones_level=next_level(state.sound.drones_level)))


def _metronome(state: PlayState) -> PlayState:
    return replace(state, sound=replace(state.sound, metronome_level=next_level(state.sound.metronome_level)))


def _pulse(state: PlayState) -> PlayState:
    return replace(state, sound=replace(state.sound, pulse=following(tuple(Ticking), state.sound.pulse)))


def _live_level(state: PlayState) -> PlayState:
    return replace(state, live=replace(state.live, level=next_level(state.live.level)))


def _feedback(state: PlayState) -> PlayState:
    return replace(state, ear=replace(state.ear, feedback=following(tuple(Feedback), state.ear.feedback)))


def _strictness(state: PlayState) -> PlayState:
    return replace(state, ear=replace(state.ear, strictness=following(tuple(Strictness), state.ear.strictness)))


def _live_way(state: PlayState) -> PlayState:
    return replace(state, live=replace(state.live, way=following(tuple(LatencyMode), state.live.way)))


def _play_keys(state: PlayState) -> PlayState:
    return replace(state, touch=following((None, *Touch), state.touch))


def _as_new(state: PlayState) -> PlayState:
    """The tune and its place stay; so does what is listened to."""
    fresh = replace(
        state,
        sound=SoundSettings(),
        ear=EarSettings(),
        live=LiveSettings(),
        extent=Extent.TUNE,
        touch=None,
        rounds=RoundSettings(),
        solo=Solo.NONE,
        notice="",
    )
    return respan(retime(fresh, Timing()))


_CHANGES: dict[Enum, Callable[[PlayState], PlayState]] = {
    Action.PLAY: lambda state: replace(state, playing=not state.playing),
    Action.AS_NEW: _as_new,
    Action.BACK: lambda state: _step(state, -1),
    Action.ON: lambda state: _step(state, 1),
    Action.PHRASE_BACK: lambda state: _phrase(state, -1),
    Action.PHRASE_ON: lambda state: _phrase(state, 1),
    Action.START: lambda state: respan(replace(state, position_s=state.schedule.events[0].start_s)),
    Action.REPEAT: _extent,
    Action.REST: _rest,
    Action.ECHO: _echo,
    Action.LADDER: _ladder,
    Action.SLOWER: lambda state: _slow_down(state, 1),
    Action.FASTER: lambda state: _slow_down(state, -1),
    Action.GRACING: _gracing,
    Action.TEMPO_DOWN: lambda state: _tempo(state, -TEMPO_STEP),
    Action.TEMPO_UP: lambda state: _tempo(state, TEMPO_STEP),
    Action.VOICE: _voice,
    Action.CHANTER: _chanter,
    Action.DRONES: _drones,
    Action.DRONES_ALONE: lambda state: _solo(state, Solo.DRONES),
    Action.CHANTER_ALONE: lambda state: _solo(state, Solo.CHANTER),
    Action.METRONOME: _metronome,
    Action.PULSE: _pulse,
    Action.LIVE_LEVEL: _live_level,
    Action.LIVE_WAY: _live_way,
    Action.FEEDBACK: _feedback,
    Action.STRICTNESS: _strictness,
    Action.PLAY_KEYS: _play_keys,
    Action.PITCH_UP: lambda state: _pitch(state, PITCH_STEP_HZ),
    Action.PITCH_DOWN: lambda state: _pitch(state, -PITCH_STEP_HZ),
}
