"""The frozen tables are what the model computes, and say of each state what a chanter would."""

from __future__ import annotations

import numpy as np
import pytest

from fingering.acoustics import table_harmonic, table_macneill
from fingering.acoustics.calibrate import LOW_A_HZ, SKETCH, calibrate
from fingering.acoustics.ensemble import cents_above_low_a, members, uncertainties_cents
from fingering.acoustics.freeze import main
from fingering.acoustics.ladder import ALL_STATES, Model, resonances, tree_impedances
from fingering.acoustics.sounding import (
    pitch_ratios,
    reference_chanter,
    soundings,
    veils,
)
from fingering.chart import chart, sounded
from fingering.errors import UserError
from fingering.holes import HoleState
from fingering.notes import HARMONIC, MACNEILL, TUNINGS, Note, Tuning

pytestmark = pytest.mark.same_everywhere
TABLES = {HARMONIC: table_harmonic.ROWS, MACNEILL: table_macneill.ROWS}

each_tuning = pytest.mark.parametrize("tuning", TUNINGS, ids=lambda tuning: tuning.name)


@each_tuning
def test_the_nine_notes_are_in_tune(tuning: Tuning) -> None:
    """Within 0.1 cents, low A at the reference's pitch (ratios: Macpherson 1998)."""
    found = resonances(Model(reference_chanter(tuning)), [chart(note) for note in Note]).frequencies_hz
    asked = LOW_A_HZ * np.array([tuning.ratio(note) for note in Note])
    assert np.max(np.abs(1200.0 * np.log2(np.array(found) / asked))) < 0.1


@each_tuning
def test_the_frozen_pitches_are_what_the_model_computes(tuning: Tuning) -> None:
    """All 256 within 0.01 cents."""
    frozen = np.array([row[0] for row in TABLES[tuning]])
    assert np.max(np.abs(frozen - cents_above_low_a(Model(reference_chanter(tuning))))) < 0.01


@each_tuning
def test_the_frozen_q_and_support_are_what_the_model_computes(tuning: Tuning) -> None:
    """To the last digit that was frozen."""
    found = resonances(Model(reference_chanter(tuning)))
    assert np.allclose([row[2] for row in TABLES[tuning]], found.qualities, rtol=0.0, atol=0.0051)
    assert np.allclose([row[3] for row in TABLES[tuning]], found.supports, rtol=0.0, atol=0.00051)


@each_tuning
def test_the_frozen_uncertainties_are_what_the_ensemble_gives(tuning: Tuning) -> None:
    """Other bores, walls and hole sizes, each in tune again."""
    found = uncertainties_cents(Model(reference_chanter(tuning)), members(tuning))
    assert np.allclose([row[1] for row in TABLES[tuning]], found, rtol=0.0, atol=0.02)


def test_the_reference_chanter_is_what_newtons_method_finds() -> None:
    """Places to a thousandth of a millimetre."""
    found = calibrate(SKETCH, HARMONIC)
    frozen = reference_chanter(HARMONIC)
    assert [hole.position_mm for hole in found.holes] == pytest.approx(
        [hole.position_mm for hole in frozen.holes], abs=6e-4
    )
    assert found.foot_mm == pytest.approx(frozen.foot_mm, abs=6e-4)


def test_freezing_again_prints_a_module_of_256_rows(capsys: pytest.CaptureFixture[str]) -> None:
    """The printed text is Python, its table the one in use but for the last digits."""
    assert main(["macneill"]) == 0
    printed: dict[str, object] = {}
    exec(compile(capsys.readouterr().out, "printed", "exec"), printed)
    rows = printed["ROWS"]
    assert isinstance(rows, tuple)
    assert np.allclose(rows, table_macneill.ROWS, atol=0.02)
    assert len(rows) == 256


def test_freezing_an_unknown_tuning_says_what_there_is(capsys: pytest.CaptureFixture[str]) -> None:
    """One line, status 2."""
    assert main(["equal"]) == 2
    assert capsys.readouterr().err == "there is no tuning 'equal'; name one of harmonic, macneill\n"


@each_tuning
def test_every_state_sounds_within_60_cents_of_the_note_of_its_topmost_open_hole(tuning: Tuning) -> None:
    """This is why a state may be named by that hole."""
    assert all(abs(each.off_note_cents) < 60.0 for each in soundings(tuning))
    assert all(each.note is sounded(state) for state, each in zip(ALL_STATES, soundings(tuning), strict=True))


@each_tuning
def test_no_state_sounds_outside_the_nine_notes(tuning: Tuning) -> None:
    """From low G up to high A, a cent aside."""
    low, high = tuning.cents(Note.LOW_G), tuning.cents(Note.HIGH_A)
    assert all(low - 1.0 < each.cents < high + 1.0 for each in soundings(tuning))


def test_naming_by_nearest_pitch_errs_at_the_low_g_gracenote() -> None:
    """`x oxx xxxx` lies nearer to F than to high G, though the G gracenote's hole is the topmost open."""
    heard = soundings()[HoleState.parse("x oxx xxxx")]
    assert heard.note is Note.HIGH_G
    assert abs(heard.cents - HARMONIC.cents(Note.F)) < abs(heard.cents - HARMONIC.cents(Note.HIGH_G))


def test_the_nine_notes_are_exactly_in_the_tuning() -> None:
    """What the synth plays for a melody note is the tuning's own ratio, unveiled."""
    for tuning in TUNINGS:
        assert [pitch_ratios(tuning)[chart(note)] for note in Note] == [tuning.ratio(note) for note in Note]
        assert [veils(tuning)[chart(note)] for note in Note] == [0.0] * 9


def test_a_false_fingering_sounds_veiled() -> None:
    """A G gracenote over low A has lost much of its third harmonic; veils lie between 0 and 1."""
    assert all(0.0 <= veil <= 1.0 for veil in veils())
    assert soundings()[HoleState.parse("x oxx xxxo")].veil > 0.3


@each_tuning
def test_every_states_second_resonance_is_weaker_than_its_first(tuning: Tuning) -> None:
    """|Z| peaks highest at the first resonance, so that a reed speaks on it: no state overblows."""
    grid_hz = np.geomspace(170.0, 2400.0, 4000)
    sizes = np.abs(tree_impedances(Model(reference_chanter(tuning)), grid_hz))
    peaks = (sizes[:, 1:-1] > sizes[:, :-2]) & (sizes[:, 1:-1] > sizes[:, 2:])
    for row, is_peak in zip(sizes[:, 1:-1], peaks, strict=True):
        first, *others = row[is_peak]
        assert others
        assert max(others) < first


def test_a_note_settles_in_10_to_15_ms() -> None:
    """Q / (pi f) is the time in which a resonance dies down to 1/e; three of them settle a note."""
    for note in Note:
        frequency_hz = LOW_A_HZ * HARMONIC.ratio(note)
        assert 0.010 < soundings()[chart(note)].q / (np.pi * frequency_hz) < 0.016


def test_a_tuning_without_a_table_is_a_user_error() -> None:
    """It names the tunings that have one."""
    other = Tuning("odd", HARMONIC.ratios, "made up")
    with pytest.raises(UserError, match="'odd'; use one of harmonic, macneill"):
        soundings(other)
