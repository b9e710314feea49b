"""What was heard of a chanter is written down, with what the hearing is unsure of."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest

from companion.hearing.heard import HeardNote, HeardSound, SoundTrouble
from companion.listen.model.played import Sounded
from companion.notate.doubts import Doubt, DoubtKind, all_decided, commented, decided
from companion.notate.from_sound import LEFT_ALONE, NOT_FINE, heard_sounds, notate_heard
from companion.notate.notating import NotatedTune
from companion.notate.pulse.group_readings import group_readings
from companion.notate.pulse.sounds import MaybeSounding, SoundingNote
from companion.score.abc.tunebook import read_abc_text
from companion.score.model import MelodyNote, Tune
from fingering.notes import Note
from tests.companion.notate.playing import IN_COMMON_TIME, MARCH, take_of, tune_of
from tests.companion.score.formats.sameness import all_told

TUNE = tune_of(MARCH)
G, D, F = Note.HIGH_G, Note.D, Note.F
pytestmark = pytest.mark.same_everywhere


def heard_of(events: Sequence[Sounded]) -> tuple[HeardNote, ...]:
    """Notes as surely heard as they were played."""
    return tuple(HeardNote(one.at_s, other.at_s, one.note) for one, other in pairwise(events) if one.note is not None)


def sound(notes: Sequence[HeardNote], *, maybe: Sequence[HeardNote] = (), echo_s: float = 0.0) -> HeardSound:
    """A sound in which they were heard."""
    return HeardSound(440.0, (440.0,) * 9, False, -40.0, echo_s, 0.02, notes[-1].stop_s, tuple(notes), tuple(maybe))


def both_times(
    notes: Sequence[HeardNote], change: Callable[[HeardNote], HeardNote], onto: Sequence[Note]
) -> list[HeardNote]:
    """The notes with one changed wherever those stand in a row: it, and what follows it."""
    found = list(notes)
    for rank in range(len(notes) - len(onto) + 1):
        if [each.note for each in notes[rank : rank + len(onto)]] == list(onto):
            found[rank + 1] = change(notes[rank + 1])
    assert found != list(notes)
    return found


def graces(tune: Tune) -> list[tuple[Note, ...]]:
    """The gracenotes of each note."""
    return [note.gracenotes for note in tune.notes]


def written(notes: Sequence[HeardNote], *, echo_s: float = 0.0) -> NotatedTune:
    """Those notes written down; the metre is not looked for."""
    return notate_heard(sound(notes, echo_s=echo_s), IN_COMMON_TIME, title="A test")


def test_what_is_surely_heard_is_written_as_it_was_played() -> None:
    """With no doubt in it."""
    found = written(heard_of(take_of(TUNE)))
    assert [(note.note, note.duration, note.gracenotes) for note in found.tune.notes] == [
        (note.note, note.duration, note.gracenotes) for note in TUNE.notes
    ]
    assert not [each for each in found.doubts if each.kind in (DoubtKind.HEARING, DoubtKind.SOUND)]


def test_a_gracenote_with_two_names_is_taken_for_the_likelier_one_and_the_other_is_told() -> None:
    """High G over a low note sounds as F may: a G gracenote between low A and C is told as F or high G."""
    notes = heard_of(take_of(TUNE))
    unsure = both_times(notes, lambda each: replace(each, note=F, others=frozenset({G})), (Note.LOW_A, G, Note.C))
    found = written(unsure)
    assert graces(found.tune) == graces(TUNE)
    doubts = [each for each in found.doubts if each.kind is DoubtKind.HEARING]
    assert doubts
    for doubt in doubts:
        assert found.tune.notes[doubt.rank].gracenotes == (G,)
        assert doubt.others[0][0].gracenotes == (F,)
        assert doubt.words.endswith("{g} was not surely heard, it may be {f}")


def test_a_note_of_melody_that_may_be_another_is_told_with_that_one() -> None:
    """Each of the names that it could as well have."""
    notes = heard_of(take_of(TUNE))
    unsure = [
        replace(each, others=frozenset({Note.D})) if each.note is Note.C and each.length_s > 0.3 else each
        for each in notes
    ]
    found = written(unsure)
    doubt = next(each for each in found.doubts if each.kind is DoubtKind.HEARING)
    assert "sounded like D as well" in doubt.words
    assert decided(found.tune, doubt, 0).notes[doubt.rank].note is Note.D


A, B, C = Note.LOW_A, Note.B, Note.C


@pytest.mark.parametrize(
    ("notes", "unsure", "taken"),
    [
        ((A, G, B), {}, (G,)),
        ((A, F, B), {1: {"others": frozenset({G})}}, (G,)),
        ((A, C, G, B, D, B), {1: {"confidence": 0.5}}, (G, B, D)),
    ],
)
def test_a_group_is_read_as_the_likeliest_embellishment(
    notes: Sequence[Note], unsure: dict[int, dict[str, Any]], taken: tuple[Note, ...]
) -> None:
    """As it was told; by its commoner name; without what was likely none.

    The B doubling is of Debian's bagpipe.ly; what is common is common practice, no source.
    """
    first, *others = group_readings(sounding_of(notes, unsure), 0.04)
    assert first == taken
    assert taken not in others


def test_a_surely_heard_sound_that_makes_no_sense_is_left_out() -> None:
    """An echo of B between a G gracenote and low A; a doubling that was as surely heard stays whole."""
    sure = {rank: {"confidence": 0.97} for rank in range(1, 4)}
    assert group_readings(sounding_of((B, G, B, A), sure), 0.04)[0] == (G,)
    assert group_readings(sounding_of((A, G, B, D, B), sure), 0.04)[0] == (G, B, D)


def test_a_doubling_whose_g_gracenote_an_echo_covers_is_written_whole_and_told() -> None:
    """Where nothing covers it none is looked for."""
    tune = tune_of(MARCH.replace("{g}f>e", "{g}f>d").replace("{gfg}f2", "{gBd}B2"))
    notes = heard_of(take_of(tune))
    halves = [
        each
        for rank, each in enumerate(notes)
        if not (each.note is G and [one.note for one in notes[rank : rank + 4]] == [G, B, D, B])
    ]
    assert len(halves) < len(notes)
    in_echo = written(halves, echo_s=0.5)
    assert (G, B, D) in graces(in_echo.tune)
    assert any(" may be {Bd}" in each.words for each in in_echo.doubts)
    assert not any(each.maybe for each in heard_sounds(sound(halves)))


def test_what_may_have_sounded_before_a_group_is_told_with_it() -> None:
    """A G gracenote at the end of low A, before F and G gracenotes on F: it may be the whole doubling."""
    maybe = (MaybeSounding(G, 0.37, 0.45),)
    assert group_readings(sounding_of((A, F, G, F), {0: {"maybe": maybe}}), 0.04) == [(G, F, G), (F, G)]
    early = (MaybeSounding(G, 0.10, 0.45),)
    assert group_readings(sounding_of((A, F, G, F), {0: {"maybe": early}}), 0.04) == [(F, G)]


def sounding_of(notes: Sequence[Note], unsure: dict[int, dict[str, Any]]) -> list[SoundingNote]:
    """Short notes between two long ones, and what is unsure of each by its rank."""
    ends_s = [0.4 + 0.04 * rank for rank in range(len(notes) - 1)]
    times = zip([0.0, *ends_s], [*ends_s, ends_s[-1] + 0.4], strict=True)
    told = [SoundingNote(note, *each) for note, each in zip(notes, times, strict=True)]
    return [replace(each, **unsure.get(rank, {})) for rank, each in enumerate(told)]


def cut_at(note: HeardNote, by: HeardNote) -> list[HeardNote]:
    """A note with another in it."""
    return [replace(note, stop_s=by.at_s), by, replace(note, at_s=by.stop_s)]


def names_of(notes: Sequence[HeardNote], *, echo_s: float = 0.0) -> list[Note]:
    """What is written down of them."""
    return [each.note for each in heard_sounds(sound(notes, echo_s=echo_s))]


def test_a_note_sounds_on_through_what_may_as_well_be_that_note() -> None:
    """High G in low A, hardly surely anything: one note, and no gracenote between two."""
    before, long = HeardNote(0.0, 0.4, B), HeardNote(0.4, 1.2, A)
    doubtful = HeardNote(0.70, 0.73, G, 0.5, frozenset({A, F}))
    assert heard_sounds(sound([before, *cut_at(long, doubtful)])) == heard_sounds(sound([before, long]))
    for surer in (replace(doubtful, others=frozenset({F})), replace(doubtful, confidence=0.9)):
        assert names_of([before, *cut_at(long, surer)]) == [B, A, G, A]


def test_nothing_is_joined_where_every_note_may_be_another() -> None:
    """A scale that may lie a step higher: all of its notes have others, and none is surer than those."""
    notes = [
        HeardNote(0.0, 0.4, A, 0.5, frozenset({B})),
        HeardNote(0.4, 0.44, B, 0.5, frozenset({A, C})),
        HeardNote(0.44, 0.8, A, 0.5, frozenset({B})),
    ]
    assert names_of(notes) == [A, B, A]


def test_a_short_gap_in_an_echo_is_no_stop() -> None:
    """A room fills a stop of 110 ms with what sounded before; where nothing echoes it is one."""
    notes = [HeardNote(0.0, 0.4, B), HeardNote(0.4, 0.8, A), HeardNote(0.91, 1.4, A)]
    assert names_of(notes, echo_s=0.3) == [B, A]
    assert names_of(notes) == [B, A, A]
    breath = [*notes[:2], HeardNote(1.1, 1.6, A)]
    assert names_of(breath, echo_s=0.3) == [B, A, A]


def test_a_short_note_alone_before_the_tune_is_left_out_and_that_is_told() -> None:
    """One that was tried before it, or drones that sound before the chanter; not a note from which the tune goes on."""
    notes = heard_of(take_of(TUNE))
    tried = HeardNote(0.1, 0.25, Note.LOW_G)
    found = written([tried, *notes])
    assert found.tune.notes[0].note is TUNE.notes[0].note
    assert LEFT_ALONE in [each.words for each in found.doubts]
    assert LEFT_ALONE not in [each.words for each in written(notes).doubts]
    assert names_of([replace(tried, stop_s=notes[0].at_s), *notes])[0] is Note.LOW_G


def test_an_echo_is_told_of_the_whole_and_what_is_written_reads_back() -> None:
    """As a comment above the first line; troubles in their own words."""
    notes = heard_of(take_of(TUNE))
    found = written(notes, echo_s=0.5)
    assert found.doubts[0].kind is DoubtKind.SOUND
    assert found.doubts[0].words == NOT_FINE
    text = commented(found.tune, found.doubts)
    assert f"% unsure: {NOT_FINE}" in text
    again = read_abc_text(text)
    assert not again.problems
    assert all_told(again.tunes[0]) == all_told(found.tune)
    noisy = replace(sound(notes), troubles=(SoundTrouble.NOISY,))
    assert notate_heard(noisy, IN_COMMON_TIME).doubts[0].words == SoundTrouble.NOISY.value


def test_doubts_about_one_note_are_each_decided() -> None:
    """Its gracenotes and its length: the one does not undo the other, in whichever order."""
    found = written(heard_of(take_of(TUNE)))
    note = found.tune.notes[3]
    first = found.tune.notes[2]
    doubts = (
        _doubt(3, 1, ((note._replace(gracenotes=(D,)),),)),
        _doubt(2, 2, ((first._replace(duration=note.duration), note._replace(duration=first.duration)),)),
    )
    for order in (doubts, doubts[::-1]):
        tune = all_decided(found.tune, [(each, 0) for each in order]).tune
        assert tune.notes[3].gracenotes == (D,)
        assert (tune.notes[2].duration, tune.notes[3].duration) == (note.duration, first.duration)


def _doubt(rank: int, notes: int, others: tuple[tuple[MelodyNote, ...], ...]) -> Doubt:
    return Doubt(DoubtKind.LENGTH, 1, rank, notes, "it is unsure", others)
