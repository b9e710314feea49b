"""How intents change the playing screen."""

from __future__ import annotations

from dataclasses import replace

import pytest

from companion.schedule.spans import Extent
from companion.schedule.timing import Gracing, Timing
from companion.sound.settings import Voice
from companion.window.core.actions import Action, Pick, Seek
from companion.window.play.play_moves import LEVELS, next_level, update
from companion.window.play.play_state import PlayState, first_state
from tests.companion.window import scenes


def after(state: PlayState, *actions: Action) -> PlayState:
    """The state after a row of actions, none of which takes time."""
    for action in actions:
        state = update(state, action, state.position_s)
    return state


def test_play_and_pause_take_turns() -> None:
    """The key that starts the tune stops it when pressed again."""
    state = scenes.state()
    assert after(state, Action.PLAY).playing
    assert not after(state, Action.PLAY, Action.PLAY).playing


def test_a_step_goes_through_every_hole_state_once() -> None:
    """Stepping on from the start visits each timed state in order, gracenote by gracenote, and stops at the last."""
    state = scenes.state()
    times = [each.at_s for each in state.schedule.states]
    seen = [state.position_s]
    for _ in times:
        state = after(state, Action.ON)
        seen.append(state.position_s)
    assert seen[: len(times)] == times
    assert seen[-1] == times[-1]


def test_a_step_back_undoes_a_step_on() -> None:
    """From anywhere but the ends."""
    state = after(scenes.state(), *[Action.ON] * 7)
    assert after(state, Action.ON, Action.BACK).position_s == state.position_s


def test_a_step_pauses() -> None:
    """A step is a look at one movement."""
    assert not after(replace(scenes.state(), playing=True), Action.ON).playing


def test_slower_keeps_the_place_in_the_tune() -> None:
    """A change of slow-down stays at the same share of the same event."""
    state = update(scenes.state(), Seek(6.1), 0.0)
    slower = after(state, Action.SLOWER)
    before, now = (one.schedule.event_index_at(one.position_s) for one in (state, slower))
    assert before == now
    assert slower.timing.slow_down > state.timing.slow_down


def test_slow_down_stops_at_its_ends() -> None:
    """1 and 32 are the ends."""
    assert after(scenes.state(), *[Action.SLOWER] * 30).timing.slow_down == 32.0
    assert after(scenes.state(), *[Action.FASTER] * 30).timing.slow_down == 1.0


def test_tempo_changes_by_beats_a_minute() -> None:
    """Up and down are opposite, from the tune's own tempo."""
    state = scenes.state()
    assert state.beats_per_minute == 60.0
    assert after(state, Action.TEMPO_UP).beats_per_minute == 62.0
    assert after(state, Action.TEMPO_UP, Action.TEMPO_DOWN).beats_per_minute == 60.0


def test_gracenotes_can_be_left_crisp() -> None:
    """The key goes between the two ways."""
    state = after(scenes.state(), Action.GRACING)
    assert state.timing.gracing is Gracing.CRISP
    assert after(state, Action.GRACING).timing.gracing is Gracing.STRETCH


@pytest.mark.parametrize("extent", list(Extent))
def test_every_extent_repeats_what_lies_around_the_place(extent: Extent) -> None:
    """The span holds the position, or the next embellishment lies ahead of it; nothing is repeated for NOTHING."""
    state = replace(scenes.state(), extent=extent)
    state = update(state, Seek(9.0), 0.0)
    if extent is Extent.NOTHING:
        assert state.span is None
    else:
        assert state.span is not None
        assert state.span.end_s > 9.0
        assert state.span.end_s > state.span.start_s


def test_the_repeat_key_goes_through_all_extents() -> None:
    """Pressed once for each extent, the repeat key has set each of them."""
    state = scenes.state()
    seen = {after(state, *[Action.REPEAT] * count).extent for count in range(len(Extent))}
    assert seen == set(Extent)


def test_a_bar_is_repeated_from_its_first_beat_to_the_next_bar() -> None:
    """Bar 1 of 4/4 at 60, four times slower: after the pick-up's 2 s, 16 s long."""
    state = update(replace(scenes.state(), extent=Extent.BAR), Seek(3.0), 0.0)
    assert state.span is not None
    assert state.span.start_s == pytest.approx(2.0)
    assert state.span.end_s == pytest.approx(18.0)


def test_phrase_keys_go_to_phrase_beginnings() -> None:
    """On and back again; at the first one back stays."""
    state = scenes.state()
    on = after(state, Action.PHRASE_ON)
    assert on.position_s > state.position_s
    assert after(on, Action.PHRASE_BACK).position_s == state.position_s
    assert after(state, Action.PHRASE_BACK).position_s == state.position_s


def test_a_seek_stays_within_the_tune() -> None:
    """Before the start and after the end are the start and the last movement."""
    state = scenes.state()
    assert update(state, Seek(-5.0), 0.0).position_s == 0.0
    assert update(state, Seek(1e6), 0.0).position_s == state.schedule.states[-1].at_s


def test_sound_keys_change_the_sound_only() -> None:
    """Voice, levels and pitch; the schedule is the very same object."""
    state = scenes.state()
    changed = after(state, Action.VOICE, Action.DRONES, Action.METRONOME, Action.CHANTER, Action.PITCH_DOWN)
    assert changed.schedule is state.schedule
    assert changed.sound.voice is Voice.PIPE
    assert changed.sound.low_a_hz == state.sound.low_a_hz - 2.0
    assert changed.sound.metronome_level > 0.0


def test_levels_go_round() -> None:
    """From silent through full and back to silent."""
    level = 0.0
    seen = []
    for _ in LEVELS:
        seen.append(level)
        level = next_level(level)
    assert tuple(seen) == LEVELS
    assert level == 0.0


def test_another_tune_starts_at_its_own_tempo() -> None:
    """The tempo that was set belongs to the tune that was left; the slow-down stays."""
    first = scenes.tune()
    second = scenes.tune(scenes.ABC.replace("Q:1/4=60", "Q:1/4=72"))
    state = after(first_state((first, second), first, Timing(slow_down=3.0)), Action.TEMPO_UP)
    opened = update(state, Pick(1), 4.0)
    assert opened.tune is second
    assert opened.beats_per_minute == 72.0
    assert opened.timing.slow_down == 3.0
    assert opened.position_s == 0.0
