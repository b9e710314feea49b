"""A recording judged: as its take in MIDI, and kindly where it cannot be heard."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from companion.hearing.hear import hear_samples
from companion.hearing.heard import HeardNote, HeardSound
from companion.hearing.takes.endings import is_recording
from companion.hearing.takes.events import events_of
from companion.hearing.takes.judging import judge_heard
from companion.hearing.takes.reading.kinder import SoundCover, kinder_reading
from companion.hearing.takes.reading.octaves import OctaveDoubt
from companion.hearing.takes.unjudged import melody_alone, partly_covered
from companion.hearing.takes.withholding import rests_on_gracenotes
from companion.listen.judgement import judge
from companion.listen.model.findings import Finding, FindingKind
from companion.listen.model.played import Sounded
from fingering.notes import Note
from tests.companion.hearing.takes.said import costs_of_notes, evidence_of
from tests.companion.listen.playing import asked_of
from tests.hearing.sources.made import SoundSource, sounding
from tests.hearing.takes import cut
from tests.learners.learner import Learner
from tests.learners.pieces import Music, pieces
from tests.learners.player import simulate

B, C, HIGH_G = Note.B, Note.C, Note.HIGH_G


def finding(kind: FindingKind, at_s: float, asked: str = "", heard: str = "") -> Finding:
    """A finding at a moment."""
    return Finding(kind, at_s, 1, 0, 0, asked, heard, (), None, "", "", None)


def sound_of(notes: tuple[HeardNote, ...], **more: object) -> HeardSound:
    """A sound in which these notes were heard."""
    plain = HeardSound(240.0, (240.0,) * 9, False, -40.0, 0.0, 0.012, 9.0, notes)
    return replace(plain, **more)  # type: ignore[arg-type]


def test_touching_notes_have_no_silence_between() -> None:
    """Others have."""
    notes = (HeardNote(0.0, 1.0, B), HeardNote(1.0, 2.0, C), HeardNote(2.5, 3.0, B))
    expected = (Sounded(0.0, B), Sounded(1.0, C), Sounded(2.0, None), Sounded(2.5, B), Sounded(3.0, None))
    assert events_of(notes) == expected


def test_what_covers_makes_the_evidence_overstate() -> None:
    """In a room, where drones sound or were, and under loud noise; in a quiet sound it does not, and all are judged."""
    notes = tuple(HeardNote(float(at), at + 1.0, B) for at in range(20))
    assert sound_of(notes, drones=True).overstates
    assert replace(sound_of(notes), echo_s=0.3).overstates
    assert replace(sound_of(notes), noise_db=-10.0).overstates
    assert not sound_of(notes).overstates
    assert sound_of(notes, drones=True).short_sounds


@pytest.mark.parametrize(
    ("echo_s", "in_doubt", "are_heard"),
    [(0.3, 10, True), (0.3, 11, False), (0.4, 6, True), (0.4, 7, False), (0.7, 2, True), (0.7, 3, False)],
)
def test_in_a_room_short_sounds_are_heard_where_few_notes_may_hold_others(
    echo_s: float, in_doubt: int, *, are_heard: bool
) -> None:
    """Of 20 notes: fewer the longer it seems to echo."""
    notes = tuple(HeardNote(float(at), at + 1.0, B) for at in range(20))
    maybe = tuple(HeardNote(at + 0.5, at + 0.52, C, 0.3) for at in range(in_doubt))
    assert sound_of(notes, echo_s=echo_s, maybe=maybe).short_sounds is are_heard


def test_a_gracenote_that_may_have_sounded_is_not_missing() -> None:
    """It is put where it may have been; one that was not asked for is not."""
    notes = (HeardNote(0.0, 2.0, B),)
    maybe = (HeardNote(1.0, 1.03, HIGH_G, 0.3), HeardNote(1.1, 1.13, C, 0.3))
    kinder = kinder_reading(notes, maybe, [finding(FindingKind.MISSING_GRACENOTE, 1.05, asked="g")])
    assert [(each.at_s, each.note) for each in kinder] == [(0.0, B), (1.0, HIGH_G), (1.03, B)]
    assert kinder_reading(notes, maybe, []) == list(notes)


def test_a_short_note_that_is_not_sure_is_not_too_much() -> None:
    """A sure one is."""
    doubtful = (HeardNote(0.0, 1.0, B), HeardNote(1.0, 1.03, C, 0.6), HeardNote(1.03, 2.0, B))
    told = [finding(FindingKind.EXTRA_GRACENOTE, 1.0, heard="c")]
    assert [(each.at_s, each.stop_s, each.note) for each in kinder_reading(doubtful, (), told)] == [(0.0, 2.0, B)]
    sure = tuple(replace(each, confidence=0.99) for each in doubtful)
    assert kinder_reading(sure, (), told) == list(sure)


def test_a_piece_of_a_note_that_is_hardly_sure_and_may_be_that_note_is_not_too_much() -> None:
    """Whatever was told there: a sampled reed seems to be another for a moment; a surer one stays."""
    piece = HeardNote(1.0, 1.03, HIGH_G, 0.5, frozenset({C}))
    notes = (HeardNote(0.0, 1.0, C), piece, HeardNote(1.03, 2.0, C))
    told = [finding(FindingKind.EXTRA_NOTE, 1.03, heard="c")]
    assert [(each.at_s, each.stop_s) for each in kinder_reading(notes, (), told)] == [(0.0, 2.0)]
    surer = (notes[0], replace(piece, confidence=0.99), notes[2])
    assert kinder_reading(surer, (), told) == list(surer)


def test_of_two_names_the_asked_one_is_taken() -> None:
    """Where a note could as well have been another."""
    notes = (HeardNote(0.0, 1.0, B), HeardNote(1.0, 1.04, Note.F, 0.99, frozenset({HIGH_G})), HeardNote(1.04, 2.0, B))
    kinder = kinder_reading(notes, (), [finding(FindingKind.WRONG_GRACENOTE, 1.0, asked="g", heard="f")])
    assert kinder[1].note is HIGH_G


def test_a_note_that_is_hardly_sure_may_have_been_what_was_asked() -> None:
    """A veiled gracenote under drones is told for want of a likelier one; a surer note stays what it is."""
    told = [finding(FindingKind.MISSING_GRACENOTE, 1.04, asked="g")]
    notes = (HeardNote(0.0, 1.0, B), HeardNote(1.0, 1.04, Note.LOW_A, 0.5), HeardNote(1.04, 2.0, C))
    assert kinder_reading(notes, (), told)[1].note is HIGH_G
    surer = tuple(replace(each, confidence=0.99) for each in notes)
    assert kinder_reading(surer, (), told) == list(surer)


def test_a_short_silence_may_have_been_the_gracenote_that_was_asked() -> None:
    """Anywhere between two notes; before a first note only where other sound covers it."""
    told = [finding(FindingKind.MISSING_GRACENOTE, 1.04, asked="g")]
    between = (HeardNote(0.0, 1.0, B), HeardNote(1.04, 2.0, C))
    expected = [(0.0, B), (1.0, HIGH_G), (1.04, C)]
    assert [(each.at_s, each.note) for each in kinder_reading(between, (), told)] == expected
    first = (HeardNote(1.04, 2.0, C),)
    assert kinder_reading(first, (), told) == list(first)
    assert [each.note for each in kinder_reading(first, (), told, SoundCover(other=True))] == [HIGH_G, C]


def test_of_what_may_have_sounded_one_of_each_name_is_granted() -> None:
    """The likelier; what is then left of the note around it, if too short for one, was the gracenote still."""
    notes = (HeardNote(0.0, 1.05, B), HeardNote(1.05, 2.0, C))
    maybe = (HeardNote(0.99, 1.01, HIGH_G, 0.2), HeardNote(1.01, 1.03, HIGH_G, 0.4))
    kinder = kinder_reading(notes, maybe, [finding(FindingKind.MISSING_GRACENOTE, 1.05, asked="g")])
    assert [(each.at_s, each.stop_s, each.note) for each in kinder] == [
        (0.0, 1.01, B),
        (1.01, 1.05, HIGH_G),
        (1.05, 2.0, C),
    ]


def test_what_may_be_an_echo_in_a_room_is_not_too_much() -> None:
    """A short note again that was over just before, however sure; elsewhere it is told."""
    g_again = (HeardNote(1.0, 1.02, HIGH_G, 0.99), HeardNote(1.02, 1.05, B, 0.99), HeardNote(1.05, 1.2, HIGH_G))
    notes = (HeardNote(0.0, 1.0, B), *g_again, HeardNote(1.2, 2.0, C))
    told = [finding(FindingKind.EXTRA_GRACENOTE, 1.02, heard="B")]
    in_room = kinder_reading(notes, (), told, SoundCover(other=True, echo=True))
    assert [(each.at_s, each.stop_s) for each in in_room] == [(0.0, 1.0), (1.0, 1.2), (1.2, 2.0)]
    assert kinder_reading(notes, (), told) == list(notes)


def test_an_echo_between_two_pieces_of_a_note_makes_the_first_one_no_gracenote() -> None:
    """High G that sounds on 25 ms after C began; where another note follows, it is that which was played."""
    told = [finding(FindingKind.EXTRA_GRACENOTE, 1.0, heard="c")]
    echo = (HeardNote(0.0, 1.0, HIGH_G), HeardNote(1.0, 1.025, C, 0.99), HeardNote(1.025, 1.05, HIGH_G, 0.99))
    in_room = SoundCover(other=True, echo=True)
    pieces = (*echo, HeardNote(1.05, 2.0, C))
    assert [(each.at_s, each.note) for each in kinder_reading(pieces, (), told, in_room)] == [(0.0, HIGH_G), (1.0, C)]
    played = (*echo, HeardNote(1.05, 2.0, B))
    assert kinder_reading(played, (), told, in_room) == list(played)


def test_a_short_note_that_silence_follows_is_no_gracenote_under_talk() -> None:
    """Where nothing covers it, it is one."""
    notes = (HeardNote(0.0, 1.0, B), HeardNote(1.0, 1.05, C, 0.99))
    told = [finding(FindingKind.EXTRA_GRACENOTE, 1.0, heard="c")]
    assert [each.note for each in kinder_reading(notes, (), told, SoundCover(other=True))] == [B]
    assert kinder_reading(notes, (), told) == list(notes)


def test_a_short_silence_within_a_note_is_none_in_a_room() -> None:
    """A long one is."""
    told = [finding(FindingKind.RESTART, 1.1)]
    room = SoundCover(other=True, echo=True)
    for again_s, expected in ((1.1, [(0.0, 2.0)]), (1.18, [(0.0, 1.0), (1.18, 2.0)])):
        notes = (HeardNote(0.0, 1.0, B), HeardNote(again_s, 2.0, B))
        assert [(each.at_s, each.stop_s) for each in kinder_reading(notes, (), told, room)] == expected
        assert kinder_reading(notes, (), told) == list(notes)


def test_in_a_room_a_note_may_be_its_octave() -> None:
    """Of low and high G, low and high A, where each is nearly as likely; elsewhere each is what it was heard as."""
    notes = (HeardNote(0.0, 1.0, HIGH_G), HeardNote(1.0, 2.0, B))
    costs = costs_of_notes(notes, 2.0, nats=5.0)
    in_room = OctaveDoubt(evidence_of(costs), costs).doubted(notes)
    assert [each.others for each in in_room] == [{Note.LOW_G}, frozenset()]
    told = [finding(FindingKind.WRONG_NOTE, 0.0, asked="G", heard="g")]
    assert kinder_reading(in_room, (), told)[0].note is Note.LOW_G
    assert kinder_reading(notes, (), told) == list(notes)


def test_how_many_equal_notes_there_were_rests_on_their_gracenotes() -> None:
    """And so does when each began, and the next note's beginning; what comes later does not, nor a broken sound."""
    asked = asked_of("A2 {g}B2{d}B2{g}B2|c2 d2 e2 f2|")

    def rests(kind: FindingKind, played: int, *letters: str) -> bool:
        return rests_on_gracenotes(replace(finding(kind, 0.0, "".join(letters)), played=played), asked)

    late = [rests(FindingKind.LATE, played) for played in range(8)]
    assert late == [False, False, True, True, True, False, False, False]
    assert rests(FindingKind.MISSING_NOTE, 6, "c", "d")
    assert not rests(FindingKind.MISSING_NOTE, 6, "d")
    assert not rests(FindingKind.CROSSING, 2)


@pytest.mark.parametrize(("name", "expected"), [("a.WAV", True), ("b/c.m4a", True), ("take.mid", False), ("x", False)])
def test_a_recording_is_known_by_its_ending(name: str, expected: bool) -> None:
    """In small or capital letters."""
    assert is_recording(name) is expected


@pytest.mark.same_everywhere
def test_a_faultless_recording_draws_what_its_midi_take_draws() -> None:
    """Which is nothing; and what an echo covers is not judged, which is said."""
    tune = min(pieces(Music.TUNES), key=lambda each: len(each.order))
    take = simulate(tune, Learner(80.0, spread=0.0, drift=0.0), 3)
    recording = sounding(cut("whole", take, 1_000.0, Random(0)), SoundSource.PRACTICE_VOICE, 3)
    heard = hear_samples(recording.samples, recording.rate_hz)
    assert judge(tune, take.notes).findings == ()
    judged = judge_heard(tune, heard)
    assert judged.findings == ()
    assert judged.verdict.gracenotes.right == judged.verdict.gracenotes.of > 0
    half = heard.notes[: len(heard.notes) // 2]
    echoing = replace(heard, echo_s=0.6, notes=half, maybe=half[::5])
    covered = judge_heard(tune, echoing)
    assert melody_alone(echoing) in covered.verdict.not_judged
    assert covered.verdict.gracenotes.of == 0
    assert not {each.kind for each in covered.findings} & {FindingKind.MISSING_GRACENOTE, FindingKind.CROSSING}
    room = replace(heard, echo_s=0.3, notes=_without_gracenotes(heard.notes, 3))
    judged = judge_heard(tune, room)
    assert judged.findings == ()
    dry = judge_heard(tune, replace(room, echo_s=0.0))
    assert {each.kind for each in dry.findings} == {FindingKind.MISSING_GRACENOTE}
    assert partly_covered(len(dry.findings), room) in judged.verdict.not_judged
    assert judged.verdict.gracenotes.of < dry.verdict.gracenotes.of


def _without_gracenotes(notes: tuple[HeardNote, ...], every: int) -> tuple[HeardNote, ...]:
    """The notes without every so manieth of the short ones, over which the note before sounds on."""
    kept: list[HeardNote] = []
    short = 0
    for each in notes:
        if each.length_s < 0.08:
            short += 1
            if short % every == 0 and kept[-1].length_s > 0.08:
                kept[-1] = replace(kept[-1], stop_s=each.stop_s)
                continue
        kept.append(each)
    return tuple(kept)
