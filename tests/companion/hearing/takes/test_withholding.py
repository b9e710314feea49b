"""What cannot be heard apart is no fault: not by its name, nor for being quick."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest

from companion.hearing.heard import HeardNote, HeardSound
from companion.hearing.takes.again import FoundAgain
from companion.hearing.takes.judging import judge_heard
from companion.hearing.takes.reading.kinder import SoundCover
from companion.hearing.takes.times_known import KnownTimes
from companion.hearing.takes.unjudged import too_quick
from companion.hearing.takes.withholding import Withholding
from companion.listen.judgement import Judgement
from companion.listen.model.findings import Finding, FindingKind
from companion.listen.model.strictness import Strictness
from fingering.notes import Note
from tests.companion.hearing.takes.said import CLEAR_NATS, costs_of_notes, evidence_of
from tests.companion.listen.playing import asked_of, tune_of

pytestmark = pytest.mark.same_everywhere

MUSIC = "A2 {g}B2 c2 d2|e2 {d}c2 {gBG}A2 B2|c2 {g}d2 e2 c2|{g}d2 A2 B2 {d}c2|"


def played(short_s: float) -> list[HeardNote]:
    """All of it without a fault, each gracenote so long, its melody note the longer for it."""
    out: list[HeardNote] = []
    at_s = 0.5
    for each in asked_of(MUSIC).tokens:
        is_short = each.end_s - each.start_s < 0.08
        stop_s = at_s + short_s if is_short else 0.5 + each.end_s
        out.append(HeardNote(round(at_s, 4), round(stop_s, 4), each.note))
        at_s = stop_s
    return out


def judged(
    notes: Sequence[HeardNote], *, drones: bool = False, echo_s: float = 0.0, room_nats: float = CLEAR_NATS
) -> Judgement:
    """What is told of these notes, which the sound said clearly. room_nats: how clearly in a room."""
    covered = drones or echo_s > 0.0
    nats = 8.0 if drones else room_nats
    evidence = evidence_of(costs_of_notes(notes, notes[-1].stop_s + 0.5, nats)) if covered else None
    sound = HeardSound(240.0, (240.0,) * 9, drones, -40.0, echo_s, 0.015, notes[-1].stop_s, tuple(notes))
    return judge_heard(tune_of(MUSIC), replace(sound, evidence=evidence))


def test_a_name_that_a_note_could_as_well_have_is_no_fault_under_drones() -> None:
    """A gracenote that lay as near to high G as to F is not told as F, however clearly it was the pitch it was."""
    notes = played(0.03)
    first = next(rank for rank, each in enumerate(notes) if each.note is Note.HIGH_G)
    told_as_f = [*notes]
    told_as_f[first] = replace(notes[first], note=Note.F)
    assert [each.kind for each in judged(told_as_f, drones=True).findings] == [FindingKind.WRONG_GRACENOTE]
    told_as_f[first] = replace(told_as_f[first], others=frozenset({Note.HIGH_G}))
    assert not judged(told_as_f, drones=True).findings


def test_in_a_room_the_octave_of_the_note_beside_it_is_not_too_much() -> None:
    """Low A that seems high A before it ends, and may be either, is not told of; high A beside another note is."""
    for at, kinds in ((0, []), (1, [FindingKind.EXTRA_GRACENOTE])):
        notes = played(0.035)
        long = [rank for rank, each in enumerate(notes) if each.length_s > 0.3]
        note = notes[long[3 * at]]
        before, rest = replace(note, stop_s=note.stop_s - 0.1), replace(note, note=Note.HIGH_A, at_s=note.stop_s - 0.1)
        rest = replace(rest, stop_s=rest.at_s + 0.05)
        after = replace(note, at_s=rest.stop_s)
        told = judged([*notes[: long[3 * at]], before, rest, after, *notes[long[3 * at] + 1 :]], echo_s=0.3)
        assert [each.kind for each in told.findings] == kinds


@pytest.mark.parametrize("drones", [False, True])
def test_a_gracenote_is_not_missed_beside_others_too_quick_to_hear(*, drones: bool) -> None:
    """Of a grip whose gracenotes last 18 ms one may not have been heard, which is said; of one of 35 ms each is."""
    for short_s, kinds in ((0.035, [FindingKind.MISSING_GRACENOTE]), (0.018, [])):
        notes = played(short_s)
        second = next(rank for rank, each in enumerate(notes) if each.note is Note.B and each.length_s < 0.08)
        notes[second - 1] = replace(notes[second - 1], stop_s=notes[second].stop_s)
        told = judged([*notes[:second], *notes[second + 1 :]], drones=drones)
        assert [each.kind for each in told.findings] == kinds
        assert (too_quick(1) in told.verdict.not_judged) == (not kinds)


@pytest.mark.parametrize(
    ("short_s", "before_s", "told"), [(0.0225, 0.4, True), (0.02, 0.4, False), (0.025, 0.09, False), (0.03, 0.09, True)]
)
def test_in_a_room_more_may_be_too_quick_to_hear_in_a_movement_that_is_short_of_time(
    short_s: float, before_s: float, *, told: bool
) -> None:
    """The second gracenote of a grip is not heard: beside others of up to 21 ms, but where the note before it lasts for
    90 ms of 26, and it may have been one of three that were squeezed."""
    notes = played(short_s)
    second = next(rank for rank, each in enumerate(notes) if each.note is Note.B and each.length_s < 0.08)
    heard_first = replace(notes[second - 1], stop_s=notes[second].stop_s)
    before = replace(notes[second - 2], stop_s=notes[second - 2].at_s + before_s)
    later_s = before.stop_s - notes[second - 1].at_s
    after = [
        replace(each, at_s=each.at_s + later_s, stop_s=each.stop_s + later_s)
        for each in [heard_first, *notes[second + 1 :]]
    ]
    kinds = [each.kind for each in judged([*notes[: second - 2], before, *after], echo_s=0.3, room_nats=9.0).findings]
    assert (FindingKind.MISSING_GRACENOTE in kinds) is told


@pytest.mark.parametrize("by_pitch", [True, False])
def test_in_a_room_one_short_gracenote_may_be_all_three_of_a_grip_but_for_its_pitch(*, by_pitch: bool) -> None:
    """40 ms of high G, of three gracenotes that were asked for: each of 13 ms would seem one; its pitch says that no
    other sounded then."""
    notes = played(0.02)
    b = next(rank for rank, each in enumerate(notes) if each.note is Note.B and each.length_s < 0.08)
    first, after = notes[b - 1], notes[b + 2]
    heard = replace(first, stop_s=first.at_s + 0.04, by_pitch=by_pitch)
    told = judged(
        [*notes[: b - 1], heard, replace(after, at_s=heard.stop_s), *notes[b + 3 :]], echo_s=0.3, room_nats=9.0
    )
    assert (FindingKind.MISSING_GRACENOTE in [each.kind for each in told.findings]) is by_pitch


def test_who_began_again_is_told_so_though_the_melody_alone_is_judged() -> None:
    """Of two bars that were played twice, in a room that echoes for a second."""
    notes = played(0.03)
    half = next(rank for rank, each in enumerate(notes) if each.at_s >= notes[-1].stop_s / 2.0)
    later_s = notes[half].at_s - notes[0].at_s
    again = [replace(each, at_s=each.at_s + later_s, stop_s=each.stop_s + later_s) for each in notes]
    kinds = {each.kind for each in judged([*notes[:half], *again], echo_s=1.0).findings}
    assert FindingKind.RESTART in kinds


@pytest.mark.parametrize(
    ("kind", "ms", "dry", "in_room"),
    [
        (FindingKind.LATE, 68.0, False, True),
        (FindingKind.LATE, 75.0, False, False),
        (FindingKind.UNEVEN, 30.0, True, True),
        (FindingKind.UNEVEN, 35.0, True, False),
        (FindingKind.UNEVEN, 40.0, False, False),
    ],
)
def test_what_is_over_a_limit_by_no_more_than_edges_are_off_is_by_a_hair(
    kind: FindingKind, ms: float, *, dry: bool, in_room: bool
) -> None:
    """A note that is late by more than 50 ms, an embellishment that is uneven by more than 28."""
    asked, finding = asked_of(MUSIC), Finding(kind, 1.0, 1, 0, 0, "", "", (), ms, "", "", None)
    limits = Strictness.USUAL.limits
    times = KnownTimes(True, (), (), [], None, limits.off_time_ms)
    for echo, by_a_hair in ((False, dry), (True, in_room)):
        cover = SoundCover(echo, echo)
        withholding = Withholding(
            cover, asked, [], times, None, (), (), FoundAgain((), asked), frozenset(), limits, True, None
        )
        assert withholding.is_by_a_hair(finding) is by_a_hair
