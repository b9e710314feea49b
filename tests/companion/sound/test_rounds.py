"""Rounds of what is repeated: their rests and their echo, in the samples and in the place of a player."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from companion.schedule.bars import Ticking
from companion.schedule.build import build_schedule
from companion.schedule.count_in import BREATH_S, count_in
from companion.schedule.events import Schedule
from companion.schedule.practice.rounds import Repeat, Rest, Turn
from companion.schedule.spans import Span
from companion.schedule.timing import Timing
from companion.score.model import COMMON_TIME, Tempo
from companion.sound.player import SilentPlayer
from companion.sound.renderer import Renderer
from companion.sound.settings import SAMPLE_RATE_HZ, SoundSettings
from companion.sound.transport import whole_frames
from companion.sound.voices import TICK_S, VoiceBank
from tests.companion.sound.test_count_in import clicks_s
from tests.companion.tune_building import notes, tune
from tests.companion.window.players import Clock

BAR_S = 2.0
"""4/4 at 120."""

CHANTER = SoundSettings(drones_level=0.0)
CLICKS = SoundSettings(chanter_level=0.0, drones_level=0.0, metronome_level=0.5)
DRONES = SoundSettings(chanter_level=0.0, drones_level=0.5)
BANK = VoiceBank(CHANTER)
FIRST, SECOND = Span(0.0, BAR_S), Span(BAR_S, 2 * BAR_S)


def _schedule(slow_down: float = 1.0) -> Schedule:
    built = tune(*[notes("A c e a A c e a")] * 2, meter=COMMON_TIME, tempo=Tempo(Fraction(1, 4), 120.0))
    return build_schedule(built, Timing(slow_down=slow_down))


def _rendered(sound: SoundSettings, repeat: Repeat, seconds: float) -> NDArray[np.float32]:
    renderer = Renderer(_schedule(), sound, bank=BANK)
    renderer.repeat(whole_frames(repeat.rounds(_schedule())))
    renderer.seek(repeat.spans[0].start_s)
    return renderer.render(round(seconds * SAMPLE_RATE_HZ))


def _loud(samples: NDArray[np.float32], from_s: float, to_s: float) -> bool:
    """Whether anything sounds between two moments, the fades at their ends left out."""
    part = samples[round((from_s + 0.01) * SAMPLE_RATE_HZ) : round((to_s - 0.01) * SAMPLE_RATE_HZ)]
    return bool(np.abs(part).max() > 1e-4)


def test_the_parts_of_a_beat_are_softer_than_the_beat() -> None:
    """In the count and in the tune: 1 to 0.7 to 0.25, half a beat after each."""
    schedule, sound = _schedule(), replace(CLICKS, pulse=Ticking.PARTS)
    count = count_in(schedule, 0.0)
    assert count is not None
    renderer = Renderer(schedule, sound, bank=BANK)
    renderer.seek(count.begins_s, count)
    samples = renderer.render(round((count.length_s + BAR_S) * SAMPLE_RATE_HZ))
    tick = round(TICK_S * SAMPLE_RATE_HZ)
    begins = [round((BREATH_S + 0.25 * rank) * SAMPLE_RATE_HZ) for rank in range(16)]
    peaks = [float(np.abs(samples[frame : frame + tick]).max()) for frame in begins]
    bar = [1.0, 0.25, 0.7, 0.25, 0.7, 0.25, 0.7, 0.25]
    assert [peak / peaks[0] for peak in peaks] == pytest.approx(bar * 2, abs=0.01)


@pytest.mark.parametrize(("rest", "rest_s"), [(Rest.BEAT, 0.5), (Rest.BAR, 2.0), (Rest.STRETCH, 2.0)])
@pytest.mark.parametrize("span", [FIRST, SECOND])
def test_the_chanter_rests_between_two_rounds(span: Span, rest: Rest, rest_s: float) -> None:
    """It sounds for a bar, rests, and sounds again from the same sample on."""
    samples = _rendered(CHANTER, Repeat((span,), rest), 2 * BAR_S + rest_s)
    assert [_loud(samples, *each) for each in ((0.0, 2.0), (2.0, 2.0 + rest_s), (2.0 + rest_s, 4.0 + rest_s))] == [
        True,
        False,
        True,
    ]
    again = round((BAR_S + rest_s) * SAMPLE_RATE_HZ)
    heard = np.abs(samples[: round(1.9 * SAMPLE_RATE_HZ)]).max(), np.abs(samples[again:]).max()
    assert heard[1] == pytest.approx(heard[0], rel=0.2)


@pytest.mark.parametrize("rest", Rest)
@pytest.mark.parametrize("echo", [False, True])
def test_the_pulse_goes_on_through_rests_and_turns(rest: Rest, echo: bool) -> None:
    """A click every half second, within a millisecond."""
    heard = clicks_s(_rendered(CLICKS, Repeat((SECOND,), rest, echo), 9.75))
    assert heard == pytest.approx([0.5 * rank for rank in range(20)], abs=0.001)


def test_the_drones_go_on_through_a_rest_and_the_learners_turn() -> None:
    """After they came in with the first note."""
    samples = _rendered(DRONES, Repeat((SECOND,), Rest.BAR, echo=True), 12.0)
    steady = samples[round(0.1 * SAMPLE_RATE_HZ) :]
    windows = np.abs(steady[: len(steady) // 4800 * 4800]).reshape(-1, 4800 * 2).max(axis=1)
    assert windows.min() > 0.3 * windows.max()


def test_in_an_echo_the_chanter_is_silent_in_the_learners_turn() -> None:
    """A bar each, and then the next stretch."""
    samples = _rendered(CHANTER, Repeat((FIRST, SECOND), echo=True), 10.0)
    assert [_loud(samples, at_s, at_s + 2.0) for at_s in (0.0, 2.0, 4.0, 6.0, 8.0)] == [True, False, True, False, True]


@given(
    st.lists(st.integers(1, 40_000), min_size=1, max_size=12),
    st.sampled_from(Rest),
    st.booleans(),
    st.sampled_from([(FIRST,), (SECOND,), (FIRST, SECOND)]),
)
@settings(max_examples=25, deadline=None)
def test_rounds_join_from_blocks_of_any_size(sizes: list[int], rest: Rest, echo: bool, spans: tuple[Span, ...]) -> None:
    """With all that sounds."""
    sound, repeat = replace(CHANTER, drones_level=0.5, metronome_level=0.5), Repeat(spans, rest, echo)
    rendered = []
    for blocks in (sizes, [sum(sizes)]):
        renderer = Renderer(_schedule(), sound, bank=BANK)
        renderer.repeat(whole_frames(repeat.rounds(_schedule())))
        renderer.seek(spans[0].start_s + 1.7)
        rendered.append(np.concatenate([renderer.render(size) for size in blocks]))
    assert np.abs(rendered[0] - rendered[1]).max() < 1e-6


@pytest.fixture
def clock() -> Clock:
    """The clock of the player below."""
    return Clock(100.0)


@pytest.fixture
def player(clock: Clock) -> SilentPlayer:
    """A silent player with two bars of two seconds, the metronome off."""
    silent = SilentPlayer(clock)
    silent.load(_schedule())
    return silent


def _stands(player: SilentPlayer) -> tuple[float, bool, Turn, int]:
    going = player.going
    assert going is not None
    return round(player.position_s(), 3), player.count is not None, going.round.turn, going.done


def test_in_a_rest_the_place_runs_up_to_the_next_round(player: SilentPlayer, clock: Clock) -> None:
    """As in a count-in, and then through the stretch."""
    player.repeat(Repeat((SECOND,), Rest.BAR))
    player.play()
    seen = []
    for _ in range(8):
        seen.append(_stands(player)[:2])
        clock.now_s += 1.0
    assert seen == [(2.0, False), (3.0, False), (0.0, True), (1.0, True)] * 2


def test_a_rest_before_the_first_bar_has_its_place_before_the_tune(player: SilentPlayer, clock: Clock) -> None:
    """Below 0."""
    player.repeat(Repeat((FIRST,), Rest.BAR))
    player.play()
    clock.now_s += 2.5
    assert _stands(player) == (-1.5, True, Turn.TOOL, 1)


def test_an_echo_goes_from_turn_to_turn_and_on_to_the_next_stretch(player: SilentPlayer, clock: Clock) -> None:
    """And after the last from the first again."""
    player.repeat(Repeat((FIRST, SECOND), echo=True))
    player.play()
    clock.now_s += 0.5
    seen = []
    for _ in range(5):
        seen.append(_stands(player))
        clock.now_s += BAR_S
    tool, learner = Turn.TOOL, Turn.LEARNER
    assert [each[::2] for each in seen] == [(0.5, tool), (0.5, learner), (2.5, tool), (2.5, learner), (0.5, tool)]
    assert [each[3] for each in seen] == [0, 1, 2, 3, 4]


def test_another_pace_in_a_rest_leaves_as_much_of_it(player: SilentPlayer, clock: Clock) -> None:
    """Half of a bar's rest is over: half of the slower bar's is left."""
    player.repeat(Repeat((SECOND,), Rest.BAR))
    player.play()
    clock.now_s += 3.0
    assert _stands(player) == (1.0, True, Turn.TOOL, 1)
    player.retime(_schedule(2.0))
    assert _stands(player) == (2.0, True, Turn.TOOL, 1)
    clock.now_s += 2.1
    assert _stands(player) == (4.1, False, Turn.TOOL, 1)


def test_another_pace_in_the_learners_turn_leaves_it_the_learners(player: SilentPlayer, clock: Clock) -> None:
    """At the same note."""
    player.repeat(Repeat((FIRST, SECOND), echo=True))
    player.play()
    clock.now_s += 3.0
    player.retime(_schedule(2.0))
    player.repeat(Repeat((Span(0.0, 4.0), Span(4.0, 8.0)), echo=True))
    assert _stands(player) == (2.0, False, Turn.LEARNER, 1)
    clock.now_s += 2.5
    assert _stands(player) == (4.5, False, Turn.TOOL, 2)


def test_a_pause_in_a_rest_goes_to_where_the_round_starts(player: SilentPlayer, clock: Clock) -> None:
    """And playing on starts there."""
    player.repeat(Repeat((SECOND,), Rest.BAR))
    player.play()
    clock.now_s += 3.0
    player.pause()
    assert (player.position_s(), player.count, player.playing) == (2.0, None, False)
    player.play()
    clock.now_s += 0.5
    assert player.position_s() == pytest.approx(2.5)


def test_to_repeat_nothing_any_more_ends_a_rest(player: SilentPlayer, clock: Clock) -> None:
    """The tune plays on from where the round would have started."""
    player.repeat(Repeat((FIRST,), Rest.BAR))
    player.play()
    clock.now_s += 3.0
    player.repeat(None)
    clock.now_s += 0.5
    assert (player.position_s(), player.count, player.going) == (0.5, None, None)


def test_the_metronome_turned_off_does_not_end_a_rest(player: SilentPlayer, clock: Clock) -> None:
    """It is no count-in."""
    player.set_sound(CLICKS)
    player.repeat(Repeat((SECOND,), Rest.BAR))
    player.play()
    clock.now_s += BREATH_S + BAR_S + 3.0
    before = _stands(player)
    assert before[1]
    player.set_sound(CHANTER)
    assert _stands(player) == before


def test_to_seek_in_the_learners_turn_makes_it_the_tools(player: SilentPlayer, clock: Clock) -> None:
    """Whoever goes somewhere wants to hear it."""
    player.repeat(Repeat((FIRST, SECOND), echo=True))
    player.play()
    clock.now_s += 3.0
    player.seek(2.5)
    assert _stands(player)[::2] == (2.5, Turn.TOOL)


def test_a_rest_that_comes_on_does_not_move_the_round(player: SilentPlayer, clock: Clock) -> None:
    """Nor does it start a turn anew."""
    player.repeat(Repeat((FIRST,), echo=True))
    player.play()
    clock.now_s += 3.0
    player.repeat(Repeat((FIRST,), Rest.BEAT, echo=True))
    assert _stands(player) == (1.0, False, Turn.LEARNER, 1)
