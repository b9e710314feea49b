"""At what pitch a short note sounds, in samples whose pitch is known."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from companion.hearing.echoes.room import RoomEcho
from companion.hearing.notes.short_pitches import LONGEST_S, PitchMeter, ShortPitch
from companion.hearing.path import NO_PITCH, HeardStretch
from companion.hearing.spectra import Floats
from fingering.notes import Note
from tests.companion.hearing.learnt_chanter import learnt

pytestmark = pytest.mark.same_everywhere

CHANTER = learnt(1000)
GRID = CHANTER.grid
SHORT_S = 0.030


def tone(hz: float, seconds: float) -> Floats:
    """A reed's harmonics, as practice chanters have them: the odd ones, each softer."""
    at_s = np.arange(round(seconds * GRID.rate_hz)) / GRID.rate_hz
    parts = [np.sin(2.0 * np.pi * rank * hz * at_s) / rank for rank in (1, 3, 5, 7)]
    return np.asarray(np.sum(parts, axis=0), np.float32)


def gracenote(cents: float, seconds: float = SHORT_S) -> tuple[Floats, HeardStretch]:
    """A high G so many cents above F between two low As, and the stretch in which it was heard."""
    low_a = tone(float(CHANTER.voice.hz[Note.LOW_A]), 0.2)
    short = tone(float(CHANTER.voice.hz[Note.F]) * 2.0 ** (cents / 1200.0), seconds)
    first, stop = (round(((0.2 + each) - GRID.centre_s(0)) / GRID.hop_s) for each in (0.0, seconds))
    return np.concatenate((low_a, short, low_a)), HeardStretch(Note.HIGH_G, first, stop)


def measured(samples: Floats, stretch: HeardStretch) -> list[ShortPitch]:
    """All that is found of one stretch."""
    meter = PitchMeter(CHANTER)
    meter.take_in(samples)
    assert list(meter.measure([stretch])) == [stretch]
    return list(meter.found.short)


@pytest.mark.parametrize("cents", [-17.0, 0.0, 21.0, 46.0, 79.0, 133.0])
def test_a_gracenote_of_30_ms_is_measured_to_5_cents(cents: float) -> None:
    """Though hardly a window of it is without the notes beside it."""
    samples, stretch = gracenote(cents)
    (found,) = measured(samples, stretch)
    assert (found.first, found.stop) == (stretch.first, stretch.stop)
    assert found.cents == pytest.approx(cents, abs=5.0)


def test_what_comes_in_blocks_is_measured_alike() -> None:
    """A stretch is settled a while after its samples came, and is measured once; what is gone is forgotten."""
    samples, stretch = gracenote(21.0)
    meter = PitchMeter(CHANTER)
    before, after = samples[:3000], samples[3000:]
    meter.take_in(before)
    silence = HeardStretch(NO_PITCH, 0, 60)
    assert list(meter.measure([silence])) == [silence]
    meter.take_in(after)
    list(meter.measure([stretch]))
    assert [each.cents for each in meter.found.short] == [
        pytest.approx(each.cents, abs=1e-3) for each in measured(samples, stretch)
    ]


def test_long_notes_and_other_notes_are_left_alone() -> None:
    """Their spectra name them."""
    samples, stretch = gracenote(0.0, LONGEST_S + 0.01)
    assert measured(samples, stretch) == []
    samples, stretch = gracenote(0.0)
    assert measured(samples, HeardStretch(Note.E, stretch.first, stretch.stop)) == []


def test_what_lies_beyond_both_is_not_measured() -> None:
    """A low D that was taken for one of them says nothing of either."""
    samples, stretch = gracenote(-400.0)
    assert measured(samples, stretch) == []


def test_long_notes_are_looked_at_for_how_they_waver() -> None:
    """Eight looks each, of F and of the high G of the chart, not of what only a gracenote sounds."""
    samples, stretch = gracenote(0.0, 0.4)
    meter = PitchMeter(CHANTER)
    meter.take_in(samples)
    list(meter.measure([HeardStretch(Note.F, stretch.first, stretch.stop)]))
    (found,) = meter.found.lasting
    assert (found.note, len(found.cents)) == (Note.F, 8)
    assert found.cents == pytest.approx([0.0] * 8, abs=3.0)
    false_g = next(
        rank for rank, each in enumerate(CHANTER.voice.pitches) if each.note is Note.HIGH_G and not each.plain
    )
    list(meter.measure([HeardStretch(false_g, stretch.stop, stretch.stop + 100)]))
    assert len(meter.found.lasting) == 1


def test_a_long_gracenote_is_measured_near_its_end_too() -> None:
    """Another pitch that has begun within it is told."""
    samples, stretch = gracenote(80.0, 0.07)
    _, whole = gracenote(80.0, 0.11)
    f = tone(float(CHANTER.voice.hz[Note.F]), 0.04)
    cut = round(0.27 * GRID.rate_hz)
    (found,) = measured(np.concatenate((samples[:cut], f, samples[cut:])), whole)
    assert found.late_cents == pytest.approx(0.0, abs=8.0)
    assert measured(samples, stretch)[0].late_cents is None


def test_an_hour_of_one_stretch_is_not_kept() -> None:
    """But the gracenote after it is measured as ever."""
    samples, stretch = gracenote(21.0)
    meter = PitchMeter(CHANTER)
    block = np.zeros(round(10.0 * GRID.rate_hz), np.float32)
    for _ in range(6):
        meter.take_in(block)
        assert list(meter.measure([])) == []
    begun = 6 * len(block) // GRID.hop
    meter.take_in(samples)
    later = HeardStretch(stretch.pitch, begun + stretch.first, begun + stretch.stop)
    list(meter.measure([HeardStretch(NO_PITCH, 0, later.first), later]))
    (expected,) = measured(samples, stretch)
    assert [each.cents for each in meter.found.short] == [pytest.approx(expected.cents, abs=1e-3)]


def test_in_a_room_fs_are_looked_at_as_they_begin_and_short_notes_in_each_frame() -> None:
    """Elsewhere neither is: nothing moves a pitch there."""
    f, high_g = gracenote(0.0, 0.3)[1], gracenote(80.0, 0.12)[1]
    for chanter, is_looked_at in ((replace(CHANTER, echo=RoomEcho(0.4, 0.03)), True), (CHANTER, False)):
        meter = PitchMeter(chanter)
        meter.take_in(gracenote(0.0, 0.3)[0])
        list(meter.measure([HeardStretch(Note.F, f.first, f.stop)]))
        assert [each.first for each in meter.found.heads] == ([f.first] if is_looked_at else [])
        assert all(each.cents == pytest.approx([0.0] * 4, abs=6.0) for each in meter.found.heads)
        meter = PitchMeter(chanter)
        meter.take_in(gracenote(80.0, 0.12)[0])
        list(meter.measure([high_g]))
        looks = meter.found.short[0].looks
        assert len(looks) == (high_g.stop - high_g.first if is_looked_at else 0)
        inner = looks[6:-6]
        assert inner == pytest.approx([80.0] * len(inner), abs=6.0)
