"""Samples as they come in: channels that cancel, levels, and what a sound is like."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from companion.hearing.intake.level import LevelMeter
from companion.hearing.intake.mixing import GREATEST, ChannelMixer, Samples, numbers_of
from companion.hearing.intake.traits import NO_NOTE, SLOPE_S, TraitCombs, TraitMeter

RATE_HZ = 48_000
HOP_S = 0.01
BINS = 12


def sine(level: float = 0.5, seconds: float = 1.0) -> Samples:
    """A sine whose samples meet every phase."""
    return (level * np.sin(2.0 * np.pi * 441.7 * np.arange(round(seconds * RATE_HZ)) / RATE_HZ)).astype(np.float32)


def coarse(samples: Samples, steps: int) -> Samples:
    """Samples in whole steps of a width."""
    return (np.round(samples * steps) / steps).astype(np.float32)


def measured(samples: Samples) -> LevelMeter:
    """A meter that has seen the samples, in two blocks."""
    meter = LevelMeter()
    for part in np.array_split(samples, 2):
        meter.measure(part)
    return meter


@pytest.mark.same_everywhere
@pytest.mark.parametrize(
    ("samples", "clipped"),
    [
        (sine(), False),
        (np.clip(sine(0.56), -0.5, 0.5), True),
        (np.clip(sine(4.0), -1.0, 1.0), True),
        (coarse(sine(0.99), 128), False),
        (coarse(np.clip(sine(1.6), -1.0, 1.0), 127), True),
        (coarse(sine(0.0003), 32_768), False),
        (np.stack((0.0 * sine(), np.clip(sine(4.0), -1.0, 1.0)), axis=1), True),
    ],
)
def test_clipped_is_told_from_coarse(samples: Samples, clipped: bool) -> None:
    """A sine clipped by 1 dB and by much, with 8 bits too and in one channel alone; not one that is whole, has 8 bits,
    or was recorded ten steps high."""
    assert measured(samples).clipped is clipped


@pytest.mark.same_everywhere
def test_a_level_is_what_swings() -> None:
    """A constant is no sound, and is left out of the level of one."""
    assert measured(np.full(100, 0.3, np.float32)).swing == 0.0
    assert measured(sine(0.1) + np.float32(0.3)).swing == pytest.approx(0.1, abs=1e-3)


@pytest.mark.same_everywhere
@pytest.mark.parametrize(
    ("channels", "better"),
    [
        ((1.0, 1.0), None),
        ((1.0, 0.0), None),
        ((0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 1.0), None),
        ((1.0, -0.99), 0),
        ((0.7, -0.8), 1),
        ((0.5, -1.0, 0.5), 1),
    ],
)
def test_channels_that_cancel_are_not_mixed(channels: tuple[float, ...], better: int | None) -> None:
    """The loudest is taken instead; the mean is right where only one of many sounds. A constant counts for nothing."""
    block = np.stack([gain * sine() + np.float32(0.2) for gain in channels], axis=1)
    mixer = ChannelMixer()
    mono = mixer.mix(block)
    assert mixer.better == better
    assert np.abs(mono - block.mean(axis=1)).max() < 1e-6
    if better is not None:
        assert np.array_equal(ChannelMixer(better).mix(block), block[:, better])


@pytest.mark.same_everywhere
def test_what_is_no_number_is_silence() -> None:
    """So is what is far beyond any sample; all else stays as it was."""
    samples = np.array([0.5, np.nan, np.inf, -np.inf, 1e30, -40_000.0], np.float32)
    assert numbers_of(samples).tolist() == [0.5, 0.0, 0.0, 0.0, 0.0, -40_000.0]
    assert numbers_of(np.zeros((0, 2), np.float32)).shape == (0, 2)
    assert GREATEST > 32_768.0


def combs() -> TraitCombs:
    """Twelve bins that are twelve pitches, of which the first nine are notes; another bore looks like two at once."""
    own = np.eye(BINS, dtype=np.float32)
    other = ((own + np.roll(own, 1, axis=1)) / np.sqrt(2.0)).astype(np.float32)
    notes = np.where(np.arange(BINS) < 9, np.arange(BINS), NO_NOTE).astype(np.int8)
    return TraitCombs(own, other, notes, np.arange(BINS), np.full(BINS, 1e-6, np.float32), HOP_S)


def frames(pitches: list[int], fall_db_s: float = 0.0) -> TraitMeter:
    """Frames that each sound one pitch; each note of 50 falls by so much a second."""
    powers = np.zeros((len(pitches), BINS), np.float32)
    at_s = (np.arange(len(pitches)) % 50) * HOP_S
    powers[np.arange(len(pitches)), pitches] = 10.0 ** (-0.1 * fall_db_s * at_s)
    meter = TraitMeter(combs())
    for part in np.array_split(powers, 3):
        meter.take_in(part)
    return meter


@pytest.mark.same_everywhere
def test_traits_are_measured() -> None:
    """How much lies on the scale, and how fast notes die away, though each is struck anew."""
    traits = frames([2] * 150 + [10] * 50, fall_db_s=20.0).traits()
    assert traits.on_scale == pytest.approx(0.75)
    assert traits.falls_db_s == pytest.approx(20.0, abs=0.5)
    assert traits.loud_s == pytest.approx(2.0)
    assert traits.other_bore == 0.0
    assert SLOPE_S < 0.5


@pytest.mark.same_everywhere
def test_what_leaves_a_note_and_comes_back_wavers() -> None:
    """For 60 ms it is that note still, and how far it goes is told; for 0.2 s it is none, nor is what goes on."""
    wave = [8, 8, 8, 9, 9, 9, 9, 9, 9, 8, 8, 8]
    wavering = frames(wave * 10).traits()
    assert wavering.on_scale == 1.0
    assert wavering.wavers_cents == pytest.approx(10.0)  # from one pitch to the next, 20 cents, or half of it each way
    assert frames([8] * 20 + [9] * 20 + [8] * 20).traits().on_scale == pytest.approx(2.0 / 3.0)
    assert frames([8] * 50 + [9] * 6 + [2] * 50).traits().on_scale < 1.0
    assert frames([8] * 100).traits().wavers_cents == 0.0


@pytest.mark.same_everywhere
def test_another_bore_is_told() -> None:
    """A frame that looks like the other bore's counts as such."""
    meter = TraitMeter(combs())
    powers = np.full((100, BINS), 1e-9, np.float32)
    powers[:, 3:5] = 1.0
    meter.take_in(powers)
    assert meter.traits().other_bore == 1.0


@pytest.mark.same_everywhere
def test_playing_is_told_from_what_is_unlike_it() -> None:
    """Three seconds of notes stand between as much of all pitches at once; what lasts a moment changes nothing."""
    talk = np.random.default_rng(1).uniform(0.2, 1.0, (300, BINS)).astype(np.float32)
    notes = np.zeros((300, BINS), np.float32)
    notes[np.arange(300), np.arange(300) // 30 % 9] = 2.0
    notes[140:150] = talk[:10]
    meter = TraitMeter(combs())
    for part in (talk, notes, talk):
        meter.take_in(part)
    ((begin_s, stop_s),) = meter.playing()
    assert begin_s == pytest.approx(3.0, abs=0.1)
    assert stop_s == pytest.approx(6.0, abs=0.1)


def one_voice(pitches: list[int], notes: list[int]) -> float:
    """The share of changes that slide, where each pitch is a step of 20 cents and is named so."""
    count = len(notes)
    own = np.eye(count, dtype=np.float32)
    names = np.array(notes, np.int8)
    meter = TraitMeter(TraitCombs(own, own, names, np.arange(count), np.full(count, 1e-6, np.float32), HOP_S))
    powers = np.zeros((len(pitches), count), np.float32)
    powers[np.arange(len(pitches)), pitches] = 1.0
    meter.take_in(powers)
    return meter.traits().glides


@pytest.mark.same_everywhere
def test_what_slides_from_note_to_note_glides() -> None:
    """A whole tone in 60 ms, up and down again; a leap is no glide, nor is what goes back on its way, stops on it, or
    passes one pitch alone."""
    notes = [0, 0, 0, *[NO_NOTE] * 5, 1, 1, 1]
    held, above = [1] * 10, [9] * 10
    up = [3, 4, 5, 6, 7]
    assert one_voice((held + up + above + up[::-1]) * 4, notes) == 1.0
    assert one_voice((held + above) * 4, notes) == 0.0
    assert one_voice([*held, 3, 6, 4, 7, *above, 7, 4, 6, 3] * 4, notes) == 0.0
    assert one_voice([*held, 5, *above, 5] * 4, notes) == 0.0
    assert one_voice((held + up[:2] + [4] * 20 + up[2:] + above + [5] * 20) * 4, notes) == 0.0


@pytest.mark.same_everywhere
def test_one_note_and_its_octave_say_nothing_of_a_bore() -> None:
    """Where low and high G look like another bore's and the rest does not, none does; where all do, all."""
    own = np.eye(BINS, dtype=np.float32)
    strange = np.where(np.isin(np.arange(BINS), (0, 7)), 1.0, 0.0)
    powers = np.zeros((120, BINS), np.float32)
    powers[np.arange(120), np.arange(120) // 10 % 9] = 1.0
    for other, expected in ((strange, 0.0), (np.ones(BINS), 1.0)):
        combs_of_it = replace(combs(), of_bore=0.5 * own, of_other=(other[:, np.newaxis] * own).astype(np.float32))
        meter = TraitMeter(combs_of_it)
        meter.take_in(powers)
        assert meter.traits().other_bore == expected


@pytest.mark.same_everywhere
def test_how_fast_notes_die_away_is_not_told_by_a_few() -> None:
    """Of two notes of half a second too little is followed; of none that lasts nothing is known."""
    assert frames([2] * 50 + [3] * 50, fall_db_s=20.0).traits().falls_db_s == 0.0
    assert frames([2, 3] * 100).traits().falls_db_s == np.inf


@pytest.mark.same_everywhere
def test_nothing_has_no_traits() -> None:
    """Nor does anything play in it."""
    meter = TraitMeter(combs())
    assert meter.playing() == []
    meter.take_in(np.zeros((100, BINS), np.float32))
    assert meter.playing() == []
    assert meter.traits().loud_s == 0.0
