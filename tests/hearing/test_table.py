"""A trial runs from takes to a table, and a track of pitch becomes notes."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from fingering.notes import HARMONIC, Note
from tests.hearing.__main__ import main
from tests.hearing.conditions.condition import DRY
from tests.hearing.contender import Contender, by_samples
from tests.hearing.recording import Samples, TrueRecording
from tests.hearing.sources.made import SoundSource
from tests.hearing.table import HEADS, trial
from tests.hearing.takes import some_takes
from tests.hearing.trackers import notes_of_track
from tests.hearing.truth import HeardEvent, NoteClass

pytestmark = pytest.mark.same_everywhere

NOTES_HZ = tuple(240.0 * HARMONIC.ratio(note) for note in Note)


def deaf(samples: Samples, rate_hz: int) -> list[HeardEvent]:
    """Hears one note, whatever sounds."""
    return [(0.0, len(samples) / rate_hz, Note.B)]


def all_knowing(recording: TrueRecording) -> tuple[list[HeardEvent], float]:
    """Is told the truth."""
    return [(each.onset_s, each.stop_s, each.note) for each in recording.notes], 0.1


def test_a_trial_tells_the_deaf_from_the_all_knowing() -> None:
    """Each contender has its row, the truth scores 1 there and a hearing of one note 0."""
    contenders = [by_samples("deaf", deaf), Contender("all-knowing", all_knowing)]
    rows = list(trial(some_takes(2, seconds=3.0), [SoundSource.PRACTICE_VOICE], [DRY], contenders, 0))
    assert [row.contender for row in rows] == ["deaf", "all-knowing"]
    assert [row.score.f1(NoteClass.MELODY) for row in rows] == [0.0, 1.0]
    assert rows[1].speed == pytest.approx(6.0 / 0.2, rel=0.05)  # two takes of 3 s, 0.1 s each
    assert all(len(row.cells()) == len(HEADS) for row in rows)


def test_the_command_prints_a_row(capsys: pytest.CaptureFixture[str]) -> None:
    """A hearing is named by its module and function."""
    asked = ["--hear", "tests.hearing.test_table:deaf", "--takes", "1", "--seconds", "3", "--source", "blown"]
    main([*asked, "--condition", "dry"])
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) == 3
    assert lines[2].startswith("| blown bore | dry | tests.hearing.test_table:deaf | 0.000 |")


def test_the_command_refuses_what_it_does_not_know(capsys: pytest.CaptureFixture[str]) -> None:
    """A condition that is none is told with those that are."""
    with pytest.raises(SystemExit):
        main(["--hear", "tests.hearing.test_table:deaf", "--condition", "under water"])
    assert "there is no 'under water'" in capsys.readouterr().err


def track(*parts: tuple[float, float]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Times and pitches of a track in steps of 5 ms, from pairs of pitch and length (s)."""
    f0_hz = np.concatenate([np.full(round(length_s / 0.005), hz) for hz, length_s in parts])
    return np.arange(len(f0_hz)) * 0.005, f0_hz


def test_a_track_becomes_notes() -> None:
    """Of 20 ms and longer, by the nearest of nine; a short slip is left out and does not part the note around it."""
    b_hz, c_hz = NOTES_HZ[Note.B], NOTES_HZ[Note.C]
    times_s, f0_hz = track((0.0, 0.1), (b_hz, 0.1), (c_hz, 0.01), (1.01 * b_hz, 0.1), (c_hz, 0.02), (900.0, 0.1))
    heard = notes_of_track(times_s, f0_hz, NOTES_HZ)
    assert [note for _, _, note in heard] == [Note.B, Note.C]
    assert heard[0][:2] == pytest.approx((0.0975, 0.3075))
    assert heard[1][:2] == pytest.approx((0.3075, 0.3275))


def test_no_pitch_is_no_note() -> None:
    """Neither silence nor an empty track has notes."""
    assert notes_of_track(*track((0.0, 1.0)), NOTES_HZ) == []
    assert notes_of_track(np.zeros(0), np.zeros(0), NOTES_HZ) == []
