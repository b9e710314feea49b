"""The renderer: blocks that join, changes that do not click, levels that cannot clip."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from companion.schedule.build import build_schedule
from companion.schedule.events import EventKind, Schedule
from companion.schedule.spans import Span
from companion.schedule.timing import Timing
from companion.score.model import Tempo
from companion.sound.mix import TUNE_CEILING
from companion.sound.pitch import pitch_table
from companion.sound.renderer import DRONES_OUT_FRAMES, Renderer
from companion.sound.settings import FADE_FRAMES, SAMPLE_RATE_HZ, SoundSettings, Voice
from companion.sound.voices import VoiceBank
from fingering.errors import UserError
from tests.companion.sound.hearing import cents, energy, peak_hz
from tests.companion.tune_building import notes, tune

CHANTER_ALONE = SoundSettings(drones_level=0.0)
EVERYTHING = SoundSettings(voice=Voice.PIPE, chanter_level=1.0, drones_level=1.0, metronome_level=1.0)
BUSY = "A gAd:A B gcd:c Gdc:d gef:e f GdGe:A g ag:a z e gAGAG:A GdGeAfA:e"
BANKS = {settings: VoiceBank(settings) for settings in (CHANTER_ALONE, EVERYTHING)}


def _schedule(text: str = BUSY, beats_per_minute: float = 80.0, slow_down: float = 1.0) -> Schedule:
    built = tune(notes(text), tempo=Tempo(Fraction(1, 4), beats_per_minute))
    return build_schedule(built, Timing(slow_down=slow_down))


def _renderer(schedule: Schedule, sound: SoundSettings = CHANTER_ALONE) -> Renderer:
    return Renderer(schedule, sound, bank=BANKS.get(sound))


def _whole(renderer: Renderer) -> NDArray[np.float32]:
    return renderer.render(renderer.frames_left)


def _steepest(samples: NDArray[np.float32]) -> float:
    return float(np.abs(np.diff(samples, axis=0)).max())


@given(
    st.lists(st.integers(1, 3_000), min_size=1, max_size=60),
    st.sampled_from([None, Span(0.3, 0.9), Span(0.5, 0.52)]),
    st.floats(0.0, 3.0),
)
@settings(max_examples=40)
def test_small_blocks_join_to_one_large_block(sizes: list[int], loop: Span | None, start_s: float) -> None:
    """Whatever the sizes, looped or not, drones and ticks included."""
    schedule = _schedule()
    rendered = []
    for blocks in (sizes, [sum(sizes)]):
        renderer = _renderer(schedule, EVERYTHING)
        renderer.seek(start_s)
        renderer.set_loop(loop)
        rendered.append(np.concatenate([renderer.render(size) for size in blocks]))
    assert np.abs(rendered[0] - rendered[1]).max() < 1e-6


def test_samples_are_stereo_float32() -> None:
    """Shape (frames, 2)."""
    block = _renderer(_schedule()).render(100)
    assert block.shape == (100, 2)
    assert block.dtype == np.dtype(np.float32)


@pytest.mark.parametrize("slow_down", [1.0, 9.0])
@pytest.mark.parametrize("voice", list(Voice))
def test_no_change_clicks(voice: Voice, slow_down: float) -> None:
    """No step between samples is steeper than the steepest held note's, and the fade's own slope."""
    sound = replace(CHANTER_ALONE, voice=voice)
    bank = VoiceBank(sound)
    held = max(
        _steepest(Renderer(_schedule(letter), sound, bank=bank).render(20_000)[4_000:]) for letter in "GABcdefga"
    )
    busy = _whole(Renderer(_schedule(slow_down=slow_down), sound, bank=bank))
    fade_slope = 0.5 * np.pi / FADE_FRAMES * np.abs(busy).max()
    assert _steepest(busy) <= held + 2.0 * fade_slope


def test_a_change_makes_no_noise_above_the_voice() -> None:
    """Above 17 kHz, where no harmonic is, every change stays below -60 dB of the sound around it."""
    schedule = _schedule()
    samples = _whole(_renderer(schedule))[:, 0].astype(float)
    for event in schedule.events[1:]:
        middle = round(event.start_s * SAMPLE_RATE_HZ)
        around = samples[middle - 512 : middle + 512]
        assert energy(around, 17_000.0, 24_000.0) < 1e-6 * energy(around, 0.0, 24_000.0)


def test_it_begins_and_ends_in_silence() -> None:
    """The first and the last sample are almost nothing, with all voices at their loudest."""
    samples = _whole(_renderer(_schedule("A c"), EVERYTHING))
    assert np.abs(samples[[0, -1]]).max() < 1e-3
    assert np.abs(samples).max() > 0.3


def test_after_the_end_there_is_silence() -> None:
    """The chanter ends with the tune, the drones die away within 0.4 s, then all is still."""
    schedule = _schedule("A c")
    renderer = _renderer(schedule, EVERYTHING)
    assert renderer.frames_left == round(schedule.duration_s * SAMPLE_RATE_HZ) + DRONES_OUT_FRAMES
    assert not renderer.finished
    _whole(renderer)
    assert renderer.finished
    assert not renderer.render(1_000).any()


def test_a_rest_is_silent_but_for_the_drones() -> None:
    """The chanter alone gives nothing in the middle of a rest; with drones there is sound."""
    schedule = _schedule("A z c")
    middle = round((schedule.note_onsets_s[1] + 0.1) * SAMPLE_RATE_HZ)
    alone, full = (_whole(_renderer(schedule, sound)) for sound in (CHANTER_ALONE, SoundSettings()))
    assert not alone[middle : middle + 2_000].any()
    assert np.abs(full[middle : middle + 2_000]).max() > 0.02


def test_two_equal_notes_are_one_sound() -> None:
    """Only a gracenote or another note parts them: common practice, no source."""
    parted, joined = (_whole(_renderer(_schedule(text, 60.0))) for text in ("A A", "A"))
    shared = len(joined) - DRONES_OUT_FRAMES - FADE_FRAMES
    assert np.array_equal(parted[:shared], joined[:shared])
    onset = shared + FADE_FRAMES
    assert np.abs(parted[onset - 120 : onset + 120]).max() == pytest.approx(np.abs(joined[:shared]).max(), rel=0.02)


def test_a_finger_on_its_way_sounds_its_own_state() -> None:
    """Slowed down 32 times, the lead from E to C is long enough to be heard: E still, while the lower hand opens."""
    schedule = _schedule("e c", slow_down=32.0)
    moving = next(state for state in schedule.states if state.kind is EventKind.MOVING)
    samples = _whole(_renderer(schedule))[:, 0].astype(float)
    begin = round(moving.at_s * SAMPLE_RATE_HZ)
    lead = samples[begin + FADE_FRAMES : begin + round(0.12 * SAMPLE_RATE_HZ)]
    wanted_hz = 240.0 * pitch_ratio(moving.state)
    assert abs(cents(peak_hz(lead, wanted_hz), wanted_hz)) < 3.0


def pitch_ratio(state: int) -> float:
    """What the table in force says of a hole state."""
    return pitch_table(CHANTER_ALONE.tuning).ratios[state]


def test_ticks_fall_on_the_beats() -> None:
    """With the metronome alone, sound begins at each beat and the bar's first tick is the loudest."""
    schedule = build_schedule(tune(*[notes("A A A A")] * 2), Timing())
    ticking = SoundSettings(chanter_level=0.0, drones_level=0.0, metronome_level=0.5)
    samples = np.abs(_whole(_renderer(schedule, ticking))[:, 0])
    for beat in schedule.beats:
        at = round(beat.at_s * SAMPLE_RATE_HZ)
        assert samples[max(0, at - 1_000) : at].max(initial=0.0) < 1e-6
        assert samples[at : at + 500].max() == pytest.approx((0.5 if beat.first else 0.35) * TUNE_CEILING, rel=0.05)


@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0), st.floats(0.0, 1.0), st.sampled_from(Voice))
@settings(max_examples=12)
def test_no_levels_whatever_pass_the_ceiling(chanter: float, drones: float, metronome: float, voice: Voice) -> None:
    """The limiter takes all down together."""
    sound = SoundSettings(voice, chanter_level=chanter, drones_level=drones, metronome_level=metronome)
    assert np.abs(_whole(Renderer(_schedule(), sound))).max() <= TUNE_CEILING


def test_the_first_sound_is_a_modest_one() -> None:
    """As the program starts, the loudest sample is less than half of full scale."""
    assert np.abs(_whole(_renderer(_schedule(), SoundSettings()))).max() < 0.5


def test_each_level_moves_its_own_voice() -> None:
    """Half the chanter's level is half the chanter; the drones stay as they were."""
    schedule = _schedule()
    half = replace(CHANTER_ALONE, chanter_level=0.5 * CHANTER_ALONE.chanter_level)
    loud, soft = (_whole(_renderer(schedule, sound)) for sound in (CHANTER_ALONE, half))
    assert np.allclose(soft, 0.5 * loud, atol=1e-7)


def test_a_seek_does_not_click() -> None:
    """From the middle of one note into the middle of another there is no steeper step than in the notes."""
    schedule = _schedule("A e", 60.0)
    renderer = _renderer(schedule)
    first = renderer.render(12_000)
    renderer.seek(0.75)
    joined = np.concatenate((first, renderer.render(6_000)))
    held = max(_steepest(first[2_000:]), _steepest(joined[-3_000:]))
    assert _steepest(joined[2_000:]) <= 1.2 * held
    assert renderer.frame == round(0.75 * SAMPLE_RATE_HZ) + 6_000


def test_a_loop_goes_round_in_its_own_length() -> None:
    """Each time round is the same sound, and its joins are no steeper than the rest."""
    schedule = _schedule()
    renderer = _renderer(schedule)
    span = Span(schedule.note_onsets_s[2], schedule.note_onsets_s[5])
    length = round((span.end_s - span.start_s) * SAMPLE_RATE_HZ)
    renderer.set_loop(span)
    renderer.seek(span.start_s)
    looped = renderer.render(4 * length)[length:]
    assert _steepest(looped) <= 1.01 * _steepest(_whole(_renderer(schedule)))
    for at_s in (schedule.note_onsets_s[index] - span.start_s for index in (2, 3, 4)):
        first, *others = (
            peak_hz(one[round(at_s * SAMPLE_RATE_HZ) + 9_000 :][:2_000, 0].astype(float), 300.0, 800.0)
            for one in looped.reshape(3, length, 2)
        )
        assert others == pytest.approx([first, first], rel=1e-3)
    assert not renderer.finished


def test_a_loop_within_one_note_is_one_unbroken_tone() -> None:
    """The end of the stretch goes over into its start in step, so that nothing cancels."""
    renderer = _renderer(_schedule("A", slow_down=8.0))
    renderer.seek(0.5)
    renderer.set_loop(Span(0.4, 0.6137))
    levels = np.abs(renderer.render(96_000)[:, 0]).reshape(-1, 400).max(axis=1)
    assert levels.min() > 0.97 * levels.max()


def test_a_loop_that_is_taken_off_plays_on_to_the_end() -> None:
    """Without its loop the renderer goes on to the end of the tune and is finished there."""
    renderer = _renderer(_schedule())
    renderer.set_loop(Span(0.2, 0.6))
    renderer.render(SAMPLE_RATE_HZ * 3)
    assert renderer.frame < round(0.6 * SAMPLE_RATE_HZ)
    renderer.set_loop(None)
    _whole(renderer)
    assert renderer.finished


def test_an_empty_schedule_renders_to_silence() -> None:
    """A tune without a note is no reason to fail."""
    renderer = _renderer(build_schedule(tune([]), Timing()))
    assert not _whole(renderer).any()


@pytest.mark.parametrize("low_a_hz", [439.9, 490.1, float("nan")])
def test_a_pitch_out_of_reach_is_the_users_error(low_a_hz: float) -> None:
    """440 to 490 Hz."""
    with pytest.raises(UserError, match="choose 440 to 490 Hz"):
        SoundSettings(low_a_hz=low_a_hz)


@pytest.mark.parametrize("part", ["chanter", "drones", "metronome"])
@pytest.mark.parametrize("level", [-0.1, 1.1, float("nan")])
def test_a_level_out_of_reach_is_the_users_error(part: str, level: float) -> None:
    """0 to 1."""
    with pytest.raises(UserError, match=f"a {part} level .* choose 0"):
        SoundSettings(**{f"{part}_level": level})  # type: ignore[arg-type] # the names are those of the three levels
