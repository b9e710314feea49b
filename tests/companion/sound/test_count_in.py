"""A tune is counted in: the clicks in the samples, and the place of a player whose clock a test turns by hand."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from companion.schedule.build import build_schedule
from companion.schedule.count_in import BREATH_S, CountIn, count_in
from companion.schedule.events import Schedule
from companion.schedule.spans import Span
from companion.schedule.timing import Timing
from companion.score.model import COMMON_TIME, Tempo
from companion.sound.player import SilentPlayer
from companion.sound.renderer import Renderer
from companion.sound.settings import FADE_FRAMES, SAMPLE_RATE_HZ, SoundSettings
from companion.sound.sounding_player import SoundingPlayer
from companion.sound.transport import Transport
from companion.sound.voices import TICK_S, VoiceBank
from tests.companion.sound.loudspeaker import Loudspeaker, open_loudspeaker, wait_until
from tests.companion.tune_building import notes, tune
from tests.companion.window.players import Clock

METRONOME = SoundSettings(metronome_level=0.5)
CLICKS_ALONE = replace(METRONOME, chanter_level=0.0, drones_level=0.0)
BANKS = {sound: VoiceBank(sound) for sound in (METRONOME, CLICKS_ALONE)}
BAR_S = 2.0
"""4/4 at 120."""


def _schedule(slow_down: float = 1.0, pick_up: bool = False) -> Schedule:
    first = [notes("A A")] if pick_up else []
    bars = [*first, *[notes("A c e a A c e a")] * 2]
    built = tune(*bars, meter=COMMON_TIME, tempo=Tempo(Fraction(1, 4), 120.0), pick_up=pick_up)
    return build_schedule(built, Timing(slow_down=slow_down))


def _counted(schedule: Schedule, place_s: float) -> CountIn:
    count = count_in(schedule, place_s)
    assert count is not None
    return count


def _counting(sound: SoundSettings, schedule: Schedule, place_s: float) -> Renderer:
    renderer = Renderer(schedule, sound, bank=BANKS[sound])
    count = _counted(schedule, place_s)
    renderer.seek(count.begins_s, count)
    return renderer


def clicks_s(samples: NDArray[np.float32]) -> list[float]:
    """When each click begins, by the samples alone: where it grows loud after a silence, in s from the first sample."""
    loud = np.flatnonzero(np.abs(samples[:, 0]) > 0.02)
    begins = loud[np.flatnonzero(np.diff(loud, prepend=-SAMPLE_RATE_HZ) > 0.1 * SAMPLE_RATE_HZ)]
    return [float(frame) / SAMPLE_RATE_HZ for frame in begins]


@pytest.mark.parametrize("pick_up", [False, True])
@pytest.mark.parametrize("place_s", [0.0, 1.0, 1.3])
def test_clicks_sound_within_a_millisecond_of_their_beats(place_s: float, pick_up: bool) -> None:
    """Those of the count, and those of the tune that go on from it."""
    schedule = _schedule(pick_up=pick_up)
    count = _counted(schedule, place_s)
    samples = _counting(CLICKS_ALONE, schedule, place_s).render(round((count.length_s + 1.0) * SAMPLE_RATE_HZ))
    due = [*(beat.at_s for beat in count.beats), *(b.at_s for b in schedule.beats if b.at_s >= place_s)]
    due = [at_s - count.begins_s for at_s in due if at_s < place_s + 0.95]
    heard = clicks_s(samples)
    assert len(heard) == len(due)
    for wanted, got in zip(due, heard, strict=True):
        assert abs(got - wanted) < 0.001


def test_the_first_of_a_bar_is_the_louder_one() -> None:
    """As the metronome's: 1 to 0.7."""
    schedule = _schedule()
    count = _counted(schedule, 0.0)
    samples = _counting(CLICKS_ALONE, schedule, 0.0).render(round(count.length_s * SAMPLE_RATE_HZ))
    tick = round(TICK_S * SAMPLE_RATE_HZ)
    begins = [round((beat.at_s - count.begins_s) * SAMPLE_RATE_HZ) for beat in count.beats]
    peaks = [float(np.abs(samples[frame : frame + tick]).max()) for frame in begins]
    assert [peak / peaks[0] for peak in peaks] == pytest.approx([1.0, 0.7, 0.7, 0.7], abs=0.01)


def test_nothing_but_the_clicks_sounds_before_the_tune() -> None:
    """Neither chanter nor drones; and the tune is the same as uncounted."""
    schedule = _schedule()
    count = _counted(schedule, 0.0)
    counted = round(count.length_s * SAMPLE_RATE_HZ)
    whole = _counting(METRONOME, schedule, 0.0).render(counted + SAMPLE_RATE_HZ)
    tick = round(TICK_S * SAMPLE_RATE_HZ)
    silent = np.ones(counted, bool)
    for beat in count.beats:
        begins = round((beat.at_s - count.begins_s) * SAMPLE_RATE_HZ)
        silent[begins : begins + tick] = False
    assert not whole[:counted][silent].any()
    plain = Renderer(schedule, METRONOME, bank=BANKS[METRONOME])
    plain.drone_frame = counted
    assert np.abs(whole[counted:] - plain.render(SAMPLE_RATE_HZ)).max() < 1e-6


def test_the_tune_comes_in_without_a_click_in_the_middle_of_a_note() -> None:
    """No sample is further from its neighbour than in the tune itself."""
    schedule, silent = _schedule(), replace(METRONOME, metronome_level=1e-6)
    count = _counted(schedule, 1.3)
    renderer = Renderer(schedule, silent)
    renderer.seek(count.begins_s, count)
    samples = renderer.render(round((count.length_s + 0.4) * SAMPLE_RATE_HZ))
    enters = round(count.length_s * SAMPLE_RATE_HZ)
    steps = np.abs(np.diff(samples, axis=0)).max(axis=1)
    assert steps[enters - 10 : enters + FADE_FRAMES].max() <= steps[enters + FADE_FRAMES :].max()
    assert steps[enters + FADE_FRAMES :].max() > 0.001


@given(st.lists(st.integers(1, 9_000), min_size=1, max_size=40), st.sampled_from([0.0, 1.0, 1.3]), st.booleans())
@settings(max_examples=25)
def test_a_count_in_joins_from_blocks_of_any_size(sizes: list[int], place_s: float, looped: bool) -> None:
    """Over the tune's start and round a loop."""
    rendered = []
    for blocks in (sizes, [sum(sizes)]):
        renderer = _counting(METRONOME, _schedule(), place_s)
        renderer.set_loop(Span(place_s, place_s + 0.5) if looped else None)
        rendered.append(np.concatenate([renderer.render(size) for size in blocks]))
    assert np.abs(rendered[0] - rendered[1]).max() < 1e-6


@pytest.fixture
def clock() -> Clock:
    """The clock of the player below."""
    return Clock(100.0)


@pytest.fixture
def player(clock: Clock) -> SilentPlayer:
    """A silent player with two bars of two seconds, the metronome on."""
    silent = SilentPlayer(clock)
    silent.set_sound(METRONOME)
    silent.load(_schedule())
    return silent


def test_the_place_runs_up_to_the_start_of_the_tune(player: SilentPlayer, clock: Clock) -> None:
    """From a breath and a bar before it; what stands is not counted."""
    assert player.count is None
    player.play()
    assert player.playing
    assert player.position_s() == pytest.approx(-BAR_S - BREATH_S)
    assert player.count == count_in(_schedule(), 0.0)
    clock.now_s += BREATH_S + 0.6
    assert player.position_s() == pytest.approx(-1.4)
    assert player.count is not None
    assert player.count.beat_at(player.position_s()).number == 2
    clock.now_s += 1.5
    assert player.position_s() == pytest.approx(0.1)
    assert player.count is None


def test_without_a_metronome_nothing_is_counted(player: SilentPlayer, clock: Clock) -> None:
    """It starts at once."""
    player.set_sound(SoundSettings())
    player.play()
    clock.now_s += 0.5
    assert player.count is None
    assert player.position_s() == pytest.approx(0.5)


def test_a_metronome_that_is_switched_off_ends_the_count(player: SilentPlayer, clock: Clock) -> None:
    """The tune starts there and then; switched on in a tune that runs, nothing is counted."""
    player.play()
    clock.now_s += 1.0
    player.set_sound(SoundSettings())
    assert player.count is None
    assert player.position_s() == pytest.approx(0.0)
    clock.now_s += 1.0
    player.set_sound(METRONOME)
    assert player.count is None
    assert player.position_s() == pytest.approx(1.0)


def test_a_pause_in_the_count_goes_back_to_the_start(player: SilentPlayer, clock: Clock) -> None:
    """And playing on counts anew, as after any pause."""
    player.seek(1.0)
    player.play()
    clock.now_s += 2.0
    player.pause()
    assert player.position_s() == pytest.approx(1.0)
    assert player.count is None
    clock.now_s += 5.0
    player.play()
    clock.now_s += BREATH_S + BAR_S + 1.0 + 0.25
    assert player.position_s() == pytest.approx(1.25)
    player.pause()
    assert player.position_s() == pytest.approx(1.25)
    player.play()
    assert player.count is not None
    assert player.count.place_s == pytest.approx(1.25)


def test_a_seek_in_the_count_counts_anew_there(player: SilentPlayer, clock: Clock) -> None:
    """In a tune that runs it does not."""
    player.play()
    clock.now_s += 1.0
    player.seek(2.0)
    assert player.count == count_in(_schedule(), 2.0)
    assert player.position_s() == pytest.approx(2.0 - BAR_S - BREATH_S)
    clock.now_s += BAR_S + BREATH_S + 0.1
    player.seek(1.0)
    assert player.count is None
    assert player.position_s() == pytest.approx(1.0)


def test_another_pace_in_the_count_counts_anew(player: SilentPlayer, clock: Clock) -> None:
    """Twice as slow, at the corresponding place."""
    player.seek(1.0)
    player.play()
    clock.now_s += 1.0
    player.retime(_schedule(slow_down=2.0))
    count = player.count
    assert count == _counted(_schedule(slow_down=2.0), 2.0)
    clock.now_s += count.length_s + 0.5
    assert player.position_s() == pytest.approx(2.5)
    player.retime(_schedule())
    assert player.count is None


def test_another_tune_is_counted_in_where_the_one_before_ran(player: SilentPlayer, clock: Clock) -> None:
    """Where it stood, it stands."""
    player.load(_schedule(), 2.0)
    assert player.count is None
    player.play()
    clock.now_s += 30.0
    player.play()
    clock.now_s += 3.0
    player.load(_schedule(pick_up=True))
    assert player.count == count_in(_schedule(pick_up=True), 0.0)


def test_a_loop_is_counted_in_once(player: SilentPlayer, clock: Clock) -> None:
    """Before its first time, also where that begins in its middle."""
    player.set_loop(Span(2.0, 4.0))
    player.seek(3.0)
    player.play()
    count = player.count
    assert count is not None
    clock.now_s += count.length_s + 1.5
    assert player.count is None
    assert player.position_s() == pytest.approx(2.5)
    clock.now_s += 200.0
    assert player.count is None
    assert player.position_s() == pytest.approx(2.5)
    player.set_loop(None)
    assert player.count is None
    assert player.position_s() == pytest.approx(2.5)


def test_a_loop_that_is_set_in_the_count(player: SilentPlayer, clock: Clock) -> None:
    """Around the start it changes nothing; elsewhere the count begins anew, before the loop."""
    player.play()
    clock.now_s += 1.0
    player.set_loop(Span(0.0, 2.0))
    player.set_loop(Span(0.0, 1.0))
    assert player.position_s() == pytest.approx(-BAR_S - BREATH_S + 1.0)
    player.set_loop(Span(2.0, 4.0))
    assert player.count == count_in(_schedule(), 2.0)


def test_what_is_heard_is_counted_until_it_is_heard_to_start() -> None:
    """With 40 ms in the queue the count is heard 40 ms after it was done; a pause at its end goes to the tune's start,
    one after it stays where it was reached.
    """
    heard = Clock()
    transport = Transport(lambda: heard() + 0.04, heard, lambda place_s: count_in(_schedule(), place_s))
    transport.load(4.0, 0.0)
    transport.play()
    heard.now_s = 0.02
    assert transport.position_s() == pytest.approx(-BAR_S - BREATH_S)
    heard.now_s = BAR_S + BREATH_S + 0.02
    assert transport.position_s() == pytest.approx(-0.02)
    assert transport.count is not None
    assert transport.next_count() is None
    transport.pause()
    heard.now_s += 0.03
    assert transport.count is None
    assert transport.position_s() == pytest.approx(0.01)
    heard.now_s += 9.0
    assert transport.position_s() == pytest.approx(0.02)
    transport.play()
    heard.now_s += 1.0
    transport.pause()
    assert transport.position_s() == pytest.approx(0.02)


@pytest.fixture
def speaker(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Loudspeaker]:
    """A loudspeaker that writes down what it plays."""
    with open_loudspeaker(tmp_path, monkeypatch) as opened:
        yield opened


def test_a_loudspeaker_counts_in_too(speaker: Loudspeaker) -> None:
    """What is heard is what the renderer makes, and the place runs from before the tune into it."""
    schedule = _schedule()
    player = SoundingPlayer(speaker.device, CLICKS_ALONE)
    player.load(schedule)
    player.play()
    places = [player.position_s()]
    assert player.count == count_in(schedule, 0.0)
    wait_until(lambda: player.position_s() > 0.7)
    places.append(player.position_s())
    assert player.count is None
    player.close()
    assert -BAR_S - BREATH_S <= places[0] < 0.0
    if player.underruns == 0:  # a machine too busy to keep up proves nothing either way
        heard = clicks_s(speaker.heard().astype(np.float32) / 32_767.0)
        assert np.diff(heard[:6]) == pytest.approx(0.5, abs=0.001)


def test_a_pause_in_the_count_is_silent(speaker: Loudspeaker) -> None:
    """And the place is the one where the tune starts; the metronome switched off sounds the tune at once."""
    player = SoundingPlayer(speaker.device, METRONOME)
    player.load(_schedule())
    player.play()
    speaker.play_on(9_600)
    player.pause()
    speaker.falls_silent()
    assert player.position_s() == 0.0
    player.play()
    speaker.play_on(4_800)
    player.set_sound(replace(METRONOME, metronome_level=0.0))
    assert player.count is None
    speaker.comes_to(240.0)
    player.close()
