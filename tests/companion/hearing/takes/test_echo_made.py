"""Findings that an echo may make: a gracenote missing within a long note, an octave away, and a long one before F."""

from __future__ import annotations

from dataclasses import replace

import pytest

from companion.hearing.heard import HeardNote, HeardSound
from companion.hearing.takes.echo_made import EchoMade
from companion.hearing.takes.judging import judge_heard
from companion.listen.model.findings import Finding, FindingKind
from fingering.notes import Note
from tests.companion.hearing.takes.said import HOP_S, as_asked, change_costs, costs_of_notes, evidence_of
from tests.companion.listen.playing import tune_of

pytestmark = pytest.mark.same_everywhere

MUSIC = "A2 {g}B2 c2 d2|e2 {d}c2 {g}A2 B2|c2 {g}G2{g}G2 c2|{g}d2 A2 B2 {d}c2|"
"""With two low Gs in a row, parted by a high G gracenote."""


def without_what_parts_them() -> tuple[list[HeardNote], float]:
    """The tune with both low Gs as one sound, and when the gracenote that parts them was due."""
    notes = as_asked(MUSIC)
    one, grace, other = next(
        (rank, rank + 1, rank + 2)
        for rank in range(len(notes) - 2)
        if notes[rank].note is notes[rank + 2].note is Note.LOW_G
    )
    due_s = notes[grace].at_s
    return [*notes[:one], HeardNote(notes[one].at_s, notes[other].stop_s, Note.LOW_G), *notes[other + 1 :]], due_s


@pytest.mark.parametrize(("doubtful_s", "told"), [(0.0, True), (0.06, False)])
def test_a_gracenote_missing_in_a_long_note_rests_on_what_sounded_then(doubtful_s: float, *, told: bool) -> None:
    """The high G gracenote before the note may as well be low G, which tells nothing of the one within it."""
    notes, due_s = without_what_parts_them()
    costs = costs_of_notes(notes, notes[-1].stop_s + 0.5, 15.0)
    for each in notes:
        if each.note is Note.HIGH_G:
            costs[round(each.at_s / HOP_S) : round(each.stop_s / HOP_S), Note.LOW_G] = 1.0
    costs[round(due_s / HOP_S) : round((due_s + doubtful_s) / HOP_S), Note.HIGH_G] = 1.0
    stop_s = notes[-1].stop_s + 0.5
    heard = HeardSound(240.0, (240.0,) * 9, False, -40.0, 0.3, 0.015, stop_s, tuple(notes), evidence=evidence_of(costs))
    missing = [
        each for each in judge_heard(tune_of(MUSIC), heard).findings if each.kind is FindingKind.MISSING_GRACENOTE
    ]
    assert bool(missing) is told


@pytest.mark.parametrize(
    ("long_s", "by_pitch", "told"), [(0.14, True, True), (0.14, False, False), (0.16, False, True)]
)
def test_a_high_g_is_long_before_f_where_its_pitch_says_so(long_s: float, *, by_pitch: bool, told: bool) -> None:
    """Its spectrum may be that of its echo, however clear it is: the two lie less than a semitone apart. But no echo is
    heard as one note of 150 ms."""
    music = MUSIC.replace("{g}B2 c2", "{g}f2 c2")
    notes = list(as_asked(music))
    rank = next(at for at, each in enumerate(notes) if each.note is Note.F) - 1
    long = replace(notes[rank], stop_s=notes[rank].at_s + long_s, by_pitch=by_pitch)
    notes[rank : rank + 2] = [long, replace(notes[rank + 1], at_s=long.stop_s)]
    stop_s = notes[-1].stop_s + 0.5
    evidence = evidence_of(costs_of_notes(notes, stop_s, 15.0))
    heard = HeardSound(240.0, (240.0,) * 9, False, -40.0, 0.3, 0.015, stop_s, tuple(notes), evidence=evidence)
    kinds = [each.kind for each in judge_heard(tune_of(music), heard).findings]
    assert (FindingKind.LONG_GRACENOTE in kinds) is told


@pytest.mark.parametrize(
    ("long_s", "may_hide", "told"), [(0.125, False, True), (0.105, False, False), (0.125, True, False)]
)
def test_a_high_g_is_long_before_low_g_where_that_cannot_hide_in_it(
    long_s: float, *, may_hide: bool, told: bool
) -> None:
    """Its octave begins unheard: of one of 105 ms, or where low G was as likely, nothing is said."""
    notes = list(as_asked(MUSIC))
    rank = next(at for at, each in enumerate(notes) if each.note is Note.LOW_G) - 1
    long = replace(notes[rank], stop_s=notes[rank].at_s + long_s)
    notes[rank : rank + 2] = [long, replace(notes[rank + 1], at_s=long.stop_s)]
    stop_s = notes[-1].stop_s + 0.5
    costs = costs_of_notes(notes, stop_s, 15.0)
    if may_hide:
        costs[round((long.at_s + 0.06) / HOP_S) : round(long.stop_s / HOP_S), Note.LOW_G] = 0.5
    heard = HeardSound(240.0, (240.0,) * 9, False, -40.0, 0.3, 0.015, stop_s, tuple(notes), evidence=evidence_of(costs))
    kinds = [each.kind for each in judge_heard(tune_of(MUSIC), heard).findings]
    assert (FindingKind.LONG_GRACENOTE in kinds) is told


@pytest.mark.parametrize("by_pitch", [True, False])
def test_a_high_g_that_its_pitch_tells_is_long_whatever_its_spectrum_may_be(*, by_pitch: bool) -> None:
    """Before B, which is as likely from 40 ms on: an echo would make it that long, but not at its pitch."""
    notes = list(as_asked(MUSIC))
    rank = next(at for at, each in enumerate(notes) if each.note is Note.B) - 1
    long = replace(notes[rank], stop_s=notes[rank].at_s + 0.12, by_pitch=by_pitch)
    notes[rank : rank + 2] = [long, replace(notes[rank + 1], at_s=long.stop_s)]
    stop_s = notes[-1].stop_s + 0.5
    costs = costs_of_notes(notes, stop_s, 15.0)
    costs[round((long.at_s + 0.04) / HOP_S) : round(long.stop_s / HOP_S), Note.B] = 0.4
    heard = HeardSound(240.0, (240.0,) * 9, False, -40.0, 0.3, 0.015, stop_s, tuple(notes), evidence=evidence_of(costs))
    kinds = [each.kind for each in judge_heard(tune_of(MUSIC), heard).findings]
    assert (FindingKind.LONG_GRACENOTE in kinds) is by_pitch


def missing_in_room(changed_before_s: float) -> bool:
    """Whether the high G before the first low G is told missing, which was not heard: the sound changed so long before
    that note."""
    notes = list(as_asked(MUSIC))
    rank = next(at for at, each in enumerate(notes) if each.note is Note.LOW_G)
    low_g, before = notes[rank], replace(notes[rank - 2], stop_s=notes[rank].at_s)
    notes[rank - 2 : rank] = [before]
    stop_s = notes[-1].stop_s + 0.5
    costs, changing = costs_of_notes(notes, stop_s, 15.0), change_costs(notes, stop_s)
    changing[round((low_g.at_s - changed_before_s) / HOP_S)] = 1.0
    evidence = evidence_of(costs, changing)
    heard = HeardSound(240.0, (240.0,) * 9, False, -40.0, 0.3, 0.015, stop_s, tuple(notes), evidence=evidence)
    return FindingKind.MISSING_GRACENOTE in {each.kind for each in judge_heard(tune_of(MUSIC), heard).findings}


@pytest.mark.parametrize(("changed_before_s", "told"), [(0.2, True), (0.04, False), (0.01, True)])
def test_a_gracenote_is_not_missing_where_the_sound_changed_when_it_was_due(
    changed_before_s: float, *, told: bool
) -> None:
    """Something began 40 ms before the next note, whatever it was; what changed long before or as the note began is no
    gracenote."""
    assert missing_in_room(changed_before_s) is told


@pytest.mark.parametrize("after", [Note.LOW_A, Note.C])
def test_a_wrong_gracenote_may_be_the_note_around_it_where_that_is_its_octave(after: Note) -> None:
    """High A for a low G in a birl, within the low A that echoes; before another note it was played."""
    low_a, high_a = HeardNote(0.0, 1.0, Note.LOW_A), HeardNote(1.0, 1.03, Note.HIGH_A)
    notes = [low_a, high_a, HeardNote(1.03, 2.0, after)]
    asked = judge_heard(tune_of(MUSIC), sound_as_asked()).asked
    made = EchoMade(asked, (), None, notes, None, None, 0.028)
    wrong = Finding(FindingKind.WRONG_GRACENOTE, 1.0, 1, 0, 0, "G", "a", (), 30.0, "", "", None)
    assert made.holds(wrong) is (after is Note.LOW_A)


@pytest.mark.parametrize(
    ("before_s", "pause_s", "first_s", "held"),
    [(0.04, 0.0, 0.03, True), (0.2, 0.0, 0.03, False), (0.04, 0.1, 0.03, False), (0.04, 0.0, 0.5, False)],
)
def test_nobody_begins_again_within_a_movement(before_s: float, pause_s: float, first_s: float, *, held: bool) -> None:
    """With a gracenote right after another: but after a note, or a stop, and with a melody note."""
    begins_s = 1.0 + before_s + pause_s
    notes = [HeardNote(0.0, 1.0, Note.C), HeardNote(1.0, 1.0 + before_s, Note.HIGH_G)]
    notes += [HeardNote(begins_s, begins_s + first_s, Note.D), HeardNote(begins_s + first_s, 3.0, Note.C)]
    asked = judge_heard(tune_of(MUSIC), sound_as_asked()).asked
    again = Finding(FindingKind.RESTART, begins_s, 1, 0, 0, "", "", (), None, "", "", None)
    assert EchoMade(asked, (), None, notes, None, None, 0.028).holds(again) is held


def sound_as_asked() -> HeardSound:
    """The tune without a fault, in a good room."""
    notes = as_asked(MUSIC)
    stop_s = notes[-1].stop_s + 0.5
    evidence = evidence_of(costs_of_notes(notes, stop_s, 15.0))
    return HeardSound(240.0, (240.0,) * 9, False, -40.0, 0.3, 0.015, stop_s, notes, evidence=evidence)
