"""What is read with the tune in hand is told only where it is likelier by far."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cache

import pytest

from companion.hearing.heard import HeardNote, HeardSound, SoundTrouble
from companion.hearing.takes.judging import judge_heard
from companion.hearing.takes.reading.expected_way import PUT_IN_NATS
from companion.hearing.takes.times_known import moved_s
from companion.hearing.takes.unjudged import CROWDED, not_in_time
from companion.hearing.takes.weighing import LENGTH_NATS, LengthWeighing
from companion.listen.model.findings import Finding, FindingKind
from companion.score.model import Tune
from fingering.notes import Note
from tests.companion.hearing.takes.said import HOP_S, as_asked, change_costs, costs_of_notes, counted, evidence_of
from tests.companion.listen.playing import tune_of

pytestmark = pytest.mark.same_everywhere

MUSIC = "A2 {g}B2 c2 d2|e2 {d}c2 {g}A2 B2|c2 {g}d2 e2 c2|{g}d2 A2 B2 {d}c2|"
SHORT_S = 0.08


@cache
def tune() -> Tune:
    """Four bars."""
    return tune_of(MUSIC)


@cache
def played() -> tuple[HeardNote, ...]:
    """All of it, without a fault."""
    return as_asked(MUSIC)


def in_room(notes: Sequence[HeardNote], *, said: Sequence[HeardNote], nats: float = 8.0) -> HeardSound:
    """A sound in which these notes were heard, and others said so clearly."""
    stop_s = notes[-1].stop_s + 0.5
    evidence = evidence_of(costs_of_notes(said, stop_s, nats))
    return HeardSound(240.0, (240.0,) * 9, False, -40.0, 0.3, 0.015, stop_s, tuple(notes), evidence=evidence)


def without(rank: int) -> list[HeardNote]:
    """The notes without one of the gracenotes, over which the note before sounds on."""
    short = [at for at, each in enumerate(played()) if each.length_s < SHORT_S][rank]
    before = replace(played()[short - 1], stop_s=played()[short].stop_s)
    return [*played()[: short - 1], before, *played()[short + 1 :]]


def kinds(heard: HeardSound) -> list[FindingKind]:
    """What is told of it."""
    return [each.kind for each in judge_heard(tune(), heard).findings]


def test_a_gracenote_is_missing_in_a_room_where_it_would_have_been_heard() -> None:
    """It is told of one that was clearly not there, and not of one that nearly was, nor where nothing was weighed."""
    notes = without(2)
    assert kinds(in_room(played(), said=played())) == []
    assert kinds(in_room(notes, said=notes)) == [FindingKind.MISSING_GRACENOTE]
    assert kinds(in_room(notes, said=notes, nats=4.0)) == []
    assert kinds(replace(in_room(notes, said=notes), evidence=None)) == []


@pytest.mark.parametrize(("noise_db", "nats"), [(-18.0, 3.2), (-14.0, 5.3)])
def test_under_loud_talk_the_evidence_counts_for_less(noise_db: float, nats: float) -> None:
    """A gracenote is missing there from 42 nats against it on, under soft talk from 25 on: in the 8 moments that it
    takes."""
    for more, kinds_told in ((0.25, [FindingKind.MISSING_GRACENOTE]), (-0.25, [])):
        heard = in_room(without(2), said=without(2), nats=nats + more)
        assert kinds(replace(heard, echo_s=0.0, noise_db=noise_db)) == kinds_told


def test_what_was_not_there_by_all_that_sounded_is_not_told() -> None:
    """A gracenote too many whose evidence is another note's: the sound has the last word."""
    at = next(rank for rank, each in enumerate(played()) if rank > 8 and each.length_s > 0.2)
    long = played()[at]
    extra = HeardNote(long.at_s + 0.1, long.at_s + 0.13, Note.F)
    parts = [replace(long, stop_s=extra.at_s), extra, replace(long, at_s=extra.stop_s)]
    notes = [*played()[:at], *parts, *played()[at + 1 :]]
    assert kinds(in_room(notes, said=notes)) == [FindingKind.EXTRA_GRACENOTE]
    assert kinds(in_room(notes, said=played())) == []


def test_a_gracenote_is_long_in_a_room_if_its_end_cannot_be_an_echo() -> None:
    """Where what follows is as likely from 75 ms on, it is not."""
    notes = [HeardNote(0.0, 0.5, Note.B), HeardNote(0.5, 0.65, Note.HIGH_G), HeardNote(0.65, 1.0, Note.C)]
    told = Finding(FindingKind.LONG_GRACENOTE, 0.5, 1, 0, 0, "g", "g", (), 150.0, "", "", None)
    costs = costs_of_notes(notes, 1.0)
    assert LengthWeighing(counted(costs), notes, notes).is_clearly_long(told, PUT_IN_NATS)
    costs[230:260, Note.C] = 0.0
    assert not LengthWeighing(counted(costs), notes, notes).is_clearly_long(told, PUT_IN_NATS)


@pytest.mark.parametrize(("least_nats", "is_long"), [(LENGTH_NATS, True), (PUT_IN_NATS, False)])
def test_a_gracenote_is_clearly_long_by_what_is_asked_for(least_nats: float, *, is_long: bool) -> None:
    """75 ms beyond what is right, each moment half a nat likelier: 15 in all."""
    notes = [HeardNote(0.0, 0.5, Note.B), HeardNote(0.5, 0.65, Note.HIGH_G), HeardNote(0.65, 1.0, Note.C)]
    told = Finding(FindingKind.LONG_GRACENOTE, 0.5, 1, 0, 0, "g", "g", (), 150.0, "", "", None)
    weighed = LengthWeighing(counted(costs_of_notes(notes, 1.0, 0.5)), notes, notes)
    assert weighed.is_clearly_long(told, least_nats) is is_long


def test_a_gracenote_that_was_heard_to_end_was_not_long_by_the_tune_alone() -> None:
    """What follows it is then another note, or its echo, that was read as more of it."""
    notes = [HeardNote(0.0, 0.5, Note.C), HeardNote(0.5, 0.65, Note.D), HeardNote(0.65, 1.0, Note.C)]
    apart = [notes[0], replace(notes[1], stop_s=0.545), HeardNote(0.545, 0.57, Note.C)]
    apart += [HeardNote(0.57, 0.65, Note.D), notes[2]]
    told = Finding(FindingKind.LONG_GRACENOTE, 0.5, 1, 0, 0, "d", "d", (), 150.0, "", "", None)
    weighed = counted(costs_of_notes(notes, 1.0))
    assert LengthWeighing(weighed, notes, notes).is_clearly_long(told, LENGTH_NATS)
    assert not LengthWeighing(weighed, notes, apart).is_clearly_long(told, LENGTH_NATS)


def test_a_gracenote_ended_where_the_sound_changed() -> None:
    """Where spectra change 50 ms after it began, and not where it seems to end, it may have been short."""
    notes = [HeardNote(0.0, 0.5, Note.B), HeardNote(0.5, 0.61, Note.HIGH_G), HeardNote(0.61, 1.0, Note.C)]
    told = Finding(FindingKind.LONG_GRACENOTE, 0.5, 1, 0, 0, "g", "g", (), 110.0, "", "", None)
    costs = costs_of_notes(notes, 1.0, 1.5)
    ended_before = [notes[0], notes[1], replace(notes[2], at_s=0.55)]
    for begun, is_long in ((notes, True), (ended_before, False)):
        weighed = LengthWeighing(counted(costs, change_costs(begun, 1.0)), notes, notes)
        assert weighed.is_clearly_long(told, PUT_IN_NATS) is is_long


@pytest.mark.parametrize(("short_s", "is_uneven"), [(0.03, True), (0.05, False)])
def test_a_doubling_is_uneven_in_a_room_if_its_longest_gracenote_cannot_be_an_echo(
    short_s: float, *, is_uneven: bool
) -> None:
    """One of 75 ms beside one of 30 that sounded so, and not one whose next was as likely from 50 ms on."""
    notes = [HeardNote(0.0, 0.5, Note.B), HeardNote(0.5, 0.575, Note.HIGH_G), HeardNote(0.575, 0.605, Note.D)]
    notes.append(HeardNote(0.605, 1.0, Note.C))
    told = Finding(FindingKind.UNEVEN, 0.5, 1, 0, 0, "gd", "gd", (), 45.0, "", "", None)
    costs = costs_of_notes(notes, 1.0)
    if not is_uneven:
        costs[round((0.5 + short_s) / HOP_S) : round(0.575 / HOP_S), Note.D] = 0.0
    assert LengthWeighing(counted(costs), notes, notes).is_clearly_uneven(told, 0.028) is is_uneven


def test_a_doubling_is_not_uneven_by_what_only_the_tune_has_found_in_it() -> None:
    """Of three gracenotes that were heard as one the first would be the longest each time."""
    notes = [HeardNote(0.0, 0.5, Note.D), HeardNote(0.5, 0.575, Note.HIGH_G), HeardNote(0.575, 0.6, Note.E)]
    notes += [HeardNote(0.6, 0.625, Note.HIGH_G), HeardNote(0.625, 1.0, Note.E)]
    as_one = [*notes[:2], replace(notes[4], at_s=0.575)]
    told = Finding(FindingKind.UNEVEN, 0.5, 1, 0, 0, "geg", "geg", (), 50.0, "", "", None)
    weighed = counted(costs_of_notes(notes, 1.0))
    assert LengthWeighing(weighed, notes, notes).is_clearly_uneven(told, 0.028)
    assert LengthWeighing(weighed, notes, [*notes[:3], notes[4]]).is_clearly_uneven(told, 0.028)
    other_fellow = [*notes[:2], HeardNote(0.575, 0.6, Note.C), *notes[3:]]  # its length counts all the same
    assert LengthWeighing(weighed, notes, other_fellow).is_clearly_uneven(told, 0.028)
    other_end = [notes[0], replace(notes[1], stop_s=0.6), *notes[3:]]
    assert not LengthWeighing(weighed, notes, other_end).is_clearly_uneven(told, 0.028)
    assert not LengthWeighing(weighed, notes, as_one).is_clearly_uneven(told, 0.028)


@pytest.mark.parametrize(
    ("second", "nats", "is_uneven"),
    [(Note.LOW_G, 3.0, False), (Note.F, 3.0, False), (Note.LOW_A, 3.0, True), (Note.LOW_G, 8.0, True)],
)
def test_a_gracenote_before_one_that_begins_unheard_is_longer_where_that_is_likelier_by_far(
    second: Note, nats: float, *, is_uneven: bool
) -> None:
    """Low G and F begin unheard in the echo of high G: 24 nats in 20 ms are not enough there, 64 are."""
    notes = [HeardNote(0.0, 0.5, Note.B), HeardNote(0.5, 0.575, Note.HIGH_G), HeardNote(0.575, 0.605, second)]
    notes += [HeardNote(0.605, 0.635, Note.D), HeardNote(0.635, 1.0, Note.B)]
    told = Finding(FindingKind.UNEVEN, 0.5, 1, 0, 0, "gGd", "gGd", (), 45.0, "", "", None)
    told = replace(told, heard="g" + second.letter + "d")
    weighed = LengthWeighing(counted(costs_of_notes(notes, 1.0, nats)), notes, notes)
    assert weighed.is_clearly_uneven(told, 0.025) is is_uneven


@pytest.mark.parametrize(("last", "least_nats"), [(Note.F, 25), (Note.HIGH_G, 15), (Note.E, 6)])
def test_the_last_gracenote_is_clearly_longer_by_what_follows_it(last: Note, least_nats: int) -> None:
    """High G before F may sound on in its echo, F before high G be taken for it; six nats are enough else. Of 32.5 ms
    each moment of 2.5 counts."""
    longest = Note.F if last is Note.HIGH_G else Note.HIGH_G
    notes = [HeardNote(0.0, 0.5, Note.B), HeardNote(0.5, 0.53, Note.HIGH_A), HeardNote(0.53, 0.56, Note.LOW_A)]
    notes += [HeardNote(0.56, 0.645, longest), HeardNote(0.645, 1.0, last)]
    letters = "".join(each.note.letter for each in notes[1:4])
    told = Finding(FindingKind.UNEVEN, 0.5, 1, 0, 0, letters, letters, (), 55.0, "", "", None)
    for nats, is_uneven in ((least_nats - 2.0, False), (least_nats + 2.0, True)):
        weighed = LengthWeighing(counted(costs_of_notes(notes, 1.0, nats / 11)), notes, notes)
        assert weighed.is_clearly_uneven(told, 0.028) is is_uneven


def test_a_note_has_moved_that_has_no_like_near_it() -> None:
    """15 ms off is near."""
    heard = [HeardNote(0.0, 0.5, Note.B), HeardNote(0.5, 1.0, Note.C)]
    assert moved_s(heard, [heard[0], HeardNote(0.51, 1.0, Note.C)]) == []
    assert moved_s(heard, [heard[0], HeardNote(0.53, 1.0, Note.C)]) == [0.5, 0.53]


def test_beside_another_player_nothing_is_told_note_by_note() -> None:
    """And nothing praised; that is said."""
    notes = without(2)[4:]
    crowded = replace(in_room(notes, said=notes), troubles=(SoundTrouble.CROWDED,))
    judged = judge_heard(tune(), crowded)
    assert (judged.findings, judged.verdict.matters, judged.verdict.went_well) == ((), (), ())
    assert judged.verdict.notes.of == judged.verdict.gracenotes.of == 0
    assert CROWDED in judged.verdict.not_judged


def test_times_are_not_told_where_hardly_a_note_is_sure() -> None:
    """A late note is told of a sound in which a fifth of the notes are doubtful, not of one in which a third are: here
    of one that echoes long."""
    late = [
        replace(each, at_s=each.at_s + 0.3 * (rank >= 12), stop_s=each.stop_s + 0.3 * (rank >= 11))
        for rank, each in enumerate(played())
    ]
    for share, told in ((0.15, True), (0.33, False)):
        maybe = tuple(HeardNote(0.6, 0.62, Note.F, 0.1) for _ in range(round(share * len(late))))
        heard = replace(in_room(late, said=late), maybe=maybe, echo_s=0.6)
        judged = judge_heard(tune(), heard)
        assert bool(judged.findings) is told
        assert (not_in_time(heard) in judged.verdict.not_judged) is not told


def test_a_melody_note_that_is_asked_for_as_briefly_as_gracenotes_may_be_as_short() -> None:
    """A semiquaver of which a slow throw has left 20 ms in a room is not missing."""
    music = MUSIC.replace("e2 c2|", "e2 c3/2 B/4{GdG}e/4|")
    notes = list(as_asked(music))
    rank = next(at for at in range(3, len(notes)) if [each.note.letter for each in notes[at - 3 : at]] == [*"GdG"])
    b = rank - 4
    notes[b - 1] = replace(notes[b - 1], stop_s=notes[b].stop_s - 0.02)
    notes[b] = replace(notes[b], at_s=notes[b].stop_s - 0.02)
    as_one = [*notes[: rank - 3], replace(notes[rank - 3], stop_s=notes[rank - 1].stop_s), *notes[rank:]]
    heard = in_room(as_one, said=notes)
    assert FindingKind.MISSING_NOTE not in {each.kind for each in judge_heard(tune_of(music), heard).findings}
