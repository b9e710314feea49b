"""Takes as what sounds hold what the simulated learners played."""

from __future__ import annotations

from itertools import pairwise

import pytest

from companion.listen.model.findings import FindingKind
from fingering.chart import chart, sounded
from fingering.holes import HoleState
from fingering.notes import Note
from tests.hearing.takes import crossings_take, learners_take, plain_take, segments_of, some_takes
from tests.hearing.truth import NoteClass, SoundingState, names_of, true_notes

pytestmark = pytest.mark.same_everywhere


def test_the_truth_is_what_the_take_tells_as_notes() -> None:
    """A whole take as true notes has the notes and onsets that it tells as keys (tests.learners.sensors)."""
    take = learners_take(0).simulated
    told = [(round(each.at_s, 6), each.note) for each in take.notes if each.note is not None]
    true = [(each.onset_s, each.note) for each in true_notes(segments_of(take))]
    assert [note for _, note in true] == [note for _, note in told]
    assert [onset_s for onset_s, _ in true] == pytest.approx([at_s for at_s, _ in told], abs=0.0041)  # sensors.LEAD_S


def test_states_follow_each_other_without_overlap() -> None:
    """Each state stops when the next begins, or before it where the sound stops."""
    for take in some_takes(4):
        assert all(one.stop_s <= other.onset_s + 1e-9 for one, other in pairwise(take.segments))
        assert all(each.stop_s - each.onset_s > 0.008 for each in take.segments)
        assert take.segments[0].onset_s == pytest.approx(0.5)
        assert take.segments[-1].stop_s <= take.duration_s - 0.5 + 1e-9


def test_a_take_without_silence_is_one_sound() -> None:
    """A plain tune is played in one breath: the sound never stops between two notes."""
    take = plain_take(3)
    assert max(after.onset_s - before.stop_s for before, after in pairwise(take.segments)) < 1e-9


def test_crossing_noises_are_marked() -> None:
    """As many states are foreign as crossings were made, and they sound neither note beside them."""
    take = crossings_take(5).simulated
    made = [each for each in take.made if each.kind is FindingKind.CROSSING]
    segments = segments_of(take)
    foreign = [rank for rank, each in enumerate(segments) if each.foreign]
    assert len(foreign) == len(made) > 10
    for rank in foreign:
        here, after = sounded(segments[rank].state), sounded(segments[rank + 1].state)
        assert here is not after
        assert here is not sounded(segments[rank - 1].state)


def test_a_state_halfway_between_two_notes_may_be_named_by_either() -> None:
    """The G gracenote over low A lies between F and high G (the acoustic model: pitch alone misnames it)."""
    assert names_of(HoleState.parse("x oxx xxxo")) == {Note.F, Note.HIGH_G}
    assert all(names_of(chart(note)) == {note} for note in Note)


def test_notes_are_counted_by_their_length() -> None:
    """80 ms are melody, 30 ms a gracenote, 29 ms a passing note; equal notes in a row are one; a noise is foreign."""
    high_g, low_a = chart(Note.HIGH_G), chart(Note.LOW_A)
    segments = (
        SoundingState(0.0, 0.04, low_a),
        SoundingState(0.04, 0.0801, low_a),
        SoundingState(0.0801, 0.1103, high_g),
        SoundingState(0.1103, 0.1393, low_a),
        SoundingState(0.1393, 0.18, high_g, foreign=True),
        SoundingState(0.19, 0.3, high_g),
    )
    counted = [each.counted for each in true_notes(segments)]
    classes = (NoteClass.MELODY, NoteClass.GRACENOTE, NoteClass.PASSING, NoteClass.FOREIGN, NoteClass.MELODY)
    assert counted == list(classes)
