"""The measures count as they say, and as mir_eval counts."""

from __future__ import annotations

import math
from random import Random

import numpy as np
import pytest

from fingering.notes import Note
from tests.hearing.measures import HearingScore, matched, score_of, together
from tests.hearing.takes import learners_take
from tests.hearing.truth import HeardEvent, NoteClass, TrueNote
from tests.referees import require_module

pytestmark = pytest.mark.same_everywhere


def true_note(onset_s: float, length_s: float, note: Note, counted: NoteClass = NoteClass.MELODY) -> TrueNote:
    """A note of the truth that has but one name."""
    return TrueNote(onset_s, onset_s + length_s, note, counted, frozenset({note}))


def test_what_is_heard_as_it_was_is_all_right() -> None:
    """The truth told back scores 1 in each class, without an error."""
    true = learners_take(0).notes
    score = score_of(true, [(each.onset_s, each.stop_s, each.note) for each in true])
    assert score.f1(NoteClass.MELODY) == score.f1(NoteClass.GRACENOTE) == score.recall(NoteClass.PASSING) == 1.0
    assert score.false_per_100 == score.onset_error_s(90.0) == 0.0


def test_each_class_has_its_own_figures() -> None:
    """By hand: one of two melody notes, one of two gracenotes, no foreign note, one false note of each length."""
    true = [
        true_note(0.0, 0.2, Note.LOW_A),
        true_note(0.2, 0.04, Note.D, NoteClass.GRACENOTE),
        true_note(0.24, 0.2, Note.B),
        true_note(0.44, 0.04, Note.E, NoteClass.GRACENOTE),
        true_note(0.48, 0.03, Note.LOW_G, NoteClass.FOREIGN),
    ]
    heard = [
        (0.01, 0.2, Note.LOW_A),
        (0.23, 0.24, Note.D),
        (0.24, 0.44, Note.C),
        (0.48, 0.51, Note.HIGH_A),
    ]
    score = score_of(true, heard)
    assert score.f1(NoteClass.MELODY) == pytest.approx(0.5)  # one right, one missed, one false
    assert score.f1(NoteClass.GRACENOTE) == pytest.approx(0.5)
    assert score.recall(NoteClass.FOREIGN) == 0.0
    assert score.false_per_100 == pytest.approx(40.0)
    assert score.onset_error_s(50.0) == pytest.approx(0.02)
    assert score.onset_bias_s == pytest.approx(0.02)
    assert math.isnan(score.recall(NoteClass.PASSING))


@pytest.mark.parametrize(("late_s", "right"), [(0.05, 1), (-0.05, 1), (0.0502, 0), (-0.0502, 0)])
def test_an_onset_is_right_up_to_the_tolerance(late_s: float, right: int) -> None:
    """50 ms off is right, a fifth of a millisecond more is not."""
    score = score_of([true_note(1.0, 0.2, Note.B)], [(1.0 + late_s, 1.2, Note.B)])
    assert sum(score.right) == right


def test_nothing_heard_and_nothing_true() -> None:
    """Either may be empty."""
    assert score_of([], []) == HearingScore()
    assert score_of([], [(0.0, 0.2, Note.B)]).false_melody == 1
    assert score_of([true_note(0.0, 0.2, Note.B)], []).f1(NoteClass.MELODY) == 0.0


def test_pairs_are_as_many_as_can_be_and_then_as_near() -> None:
    """A greedy choice of the nearest would leave one of these without its pair; of equal numbers the nearer win."""
    two = [true_note(0.0, 0.03, Note.B), true_note(0.06, 0.03, Note.B)]
    assert matched(two, [(0.035, 0.05, Note.B), (0.1, 0.13, Note.B)]) == [(0, 0), (1, 1)]
    assert matched(two, [(0.055, 0.09, Note.B)]) == [(1, 0)]
    assert matched(two, [(0.04, 0.09, Note.B), (0.011, 0.09, Note.B)]) == [(0, 1), (1, 0)]


def test_as_many_are_right_as_mir_eval_says() -> None:
    """Over takes heard with notes moved, misnamed, left out and added, the number of pairs is the same (mir_eval's
    match_notes, onsets within 50 ms, pitches apart by more than its tolerance)."""
    mir_eval = require_module("mir_eval")
    of_notes = require_module("mir_eval.transcription")
    assert mir_eval is not None
    for draw in (0, 1):
        true = [
            TrueNote(each.onset_s, each.stop_s, each.note, each.counted, frozenset({each.note}))
            for each in learners_take(draw).notes
        ]
        heard = badly_heard(true, Random(draw))
        pairs = of_notes.match_notes(
            np.array([(each.onset_s, each.stop_s) for each in true]),
            np.array([_hz(each.note) for each in true]),
            np.array([(onset_s, stop_s) for onset_s, stop_s, _ in heard]),
            np.array([_hz(note) for _, _, note in heard]),
            onset_tolerance=0.05,
            offset_ratio=None,
        )
        assert len(matched(true, heard)) == len(pairs) > 10


def badly_heard(true: list[TrueNote], random: Random) -> list[HeardEvent]:
    """The truth with every sort of error."""
    heard = []
    for each in true:
        if random.random() < 0.1:
            continue
        onset_s = max(0.0, each.onset_s + random.gauss(0.0, 0.03))
        heard.append((onset_s, onset_s + each.length_s, random.choice((each.note, each.note, Note.LOW_A))))
        if random.random() < 0.1:
            heard.append((onset_s + 0.01, onset_s + 0.05, each.note))
    return sorted(heard)


def _hz(note: Note) -> float:
    return float(440.0 * 2.0 ** (int(note) / 12.0))


def test_scores_add_up() -> None:
    """The score of two recordings together has the notes of both."""
    one = score_of([true_note(0.0, 0.2, Note.B)], [(0.01, 0.2, Note.B)])
    other = score_of([true_note(0.0, 0.2, Note.B)], [(0.0, 0.2, Note.C)])
    both = together([one, other])
    assert both.recall(NoteClass.MELODY) == 0.5
    assert both.false_melody == 1
    assert both.onset_errors_s == one.onset_errors_s
