"""Short notes that may be F or a high G, named by where the high Gs of a take lie.

In cents above F: the chanter that was computed has the high G of the chart at 85, over low G at 33, over low A at 37
(harmonic tuning, `fingering.acoustics`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest

from companion.hearing.echoes.room import RoomEcho
from companion.hearing.heard import HeardNote, SureName
from companion.hearing.learnt import ENOUGH_TO_SEE, Learnt
from companion.hearing.notes.near_names import HEAD_S, named_by_pitch
from companion.hearing.notes.short_pitches import (
    HeadPitch,
    LongPitch,
    MeasuredPitches,
    ShortPitch,
)
from fingering.notes import Note
from tests.companion.hearing.learnt_chanter import learnt

pytestmark = pytest.mark.same_everywhere

LONG_S, SHORT_S = 0.3, 0.035
F, G, LOW_G, LOW_A = Note.F, Note.HIGH_G, Note.LOW_G, Note.LOW_A
CHANTER = learnt(9 * ENOUGH_TO_SEE)
STRAYS = (-3.0, 0.0, 2.0, -1.0, 4.0, -2.0, 0.0, 1.0)


def played(
    cents: Sequence[float], told: Sequence[Note], over: Note = LOW_G, chanter: Learnt = CHANTER
) -> tuple[list[HeardNote], list[ShortPitch]]:
    """A long note again and again, before each a short one of so many cents that was told to be this."""
    notes, pitches, at_s = [], [], 0.5
    for each, name in zip(cents, told, strict=True):
        notes.append(HeardNote(at_s, at_s + SHORT_S, name, 0.9, frozenset({F, G} - {name})))
        first, stop = (
            round((edge_s - chanter.grid.centre_s(0)) / chanter.grid.hop_s) for edge_s in (at_s, at_s + SHORT_S)
        )
        pitches.append(ShortPitch(first, stop, each))
        notes.append(HeardNote(at_s + SHORT_S, at_s + SHORT_S + LONG_S, over))
        at_s += SHORT_S + LONG_S
    return notes, pitches


def by_pitch(
    notes: Sequence[HeardNote], pitches: Sequence[ShortPitch], chanter: Learnt
) -> tuple[tuple[HeardNote, ...], tuple[SureName, ...]]:
    """What is told where nothing else was measured."""
    return named_by_pitch(notes, MeasuredPitches(pitches), chanter)


def shorts(
    cents: Sequence[float], told: Sequence[Note], over: Note = LOW_G, chanter: Learnt = CHANTER
) -> tuple[list[tuple[Note, bool]], tuple[SureName, ...]]:
    """The name of each short note, and whether it may still be the other; and those that are sure."""
    notes, surely = by_pitch(*played(cents, told, over, chanter), chanter)
    return [(each.note, bool(each.others)) for each in notes if each.length_s < 0.5 * LONG_S], surely


def test_an_f_among_high_gs_is_sure_and_so_are_they() -> None:
    """They lie a quarter of a semitone above it, lower than was computed, but always there."""
    cents = [20.0 + stray for stray in STRAYS]
    named, surely = shorts([*cents, -16.0], [*[G] * 8, F])
    assert named == [*[(G, False)] * 8, (F, False)]
    assert [each.no_other for each in surely] == [*[frozenset({F, LOW_G})] * 8, frozenset({G})]


def test_high_gs_that_were_told_as_f_are_high_gs() -> None:
    """As an oboe's were, whose spectra are alike."""
    named, _ = shorts([22.0 + stray for stray in STRAYS], [F] * 8, over=LOW_A)
    assert named == [(G, False)] * 8


def test_where_high_g_lies_on_f_none_is_sure() -> None:
    """On such a chanter nobody can tell."""
    cents = [5.0 + stray for stray in STRAYS]
    named, surely = shorts([*cents, -3.0], [*[G] * 8, F])
    assert named == [*[(G, True)] * 8, (F, True)]
    assert surely == ()


def test_one_high_g_does_not_tell_where_they_lie() -> None:
    """It may be, but that is no proof, nor is it known by how much such notes stray."""
    named, surely = shorts([33.0, 0.0], [G, F])
    assert (named, surely) == ([(G, True), (F, True)], ())


def test_what_the_spectrum_says_is_a_high_g_is_never_made_an_f() -> None:
    """In a room an echo pulls at the pitch of some."""
    named, _ = shorts([*[20.0 + stray for stray in STRAYS], -2.0], [G] * 9)
    assert named[-1] == (G, True)


def test_while_f_is_hardly_known_nothing_is_named_by_its_distance() -> None:
    chanter = learnt(ENOUGH_TO_SEE - 1)
    named, surely = shorts([20.0] * 8, [F] * 8, chanter=chanter)
    assert (named, surely) == ([(F, True)] * 8, ())


def test_a_piece_of_a_high_g_that_was_told_as_f_goes_back_to_it() -> None:
    """Its finger fell late, so that it ended over low G."""
    notes, pitches = played([20.0 + stray for stray in STRAYS], [F] * 8)
    before = HeardNote(notes[0].at_s - 0.1, notes[0].at_s, G)
    named, _ = by_pitch([before, *notes], pitches, CHANTER)
    assert (named[0].at_s, named[0].stop_s, named[0].note) == (before.at_s, notes[0].stop_s, G)
    assert len(named) == len(notes)


def test_in_a_room_what_follows_an_f_is_left_as_it_was() -> None:
    """The F that echoes sounds in it too."""
    chanter = replace(CHANTER, echo=RoomEcho(0.4, 0.03))
    notes, pitches = played([20.0 + stray for stray in STRAYS], [G] * 8, chanter=chanter)
    after_f = [HeardNote(notes[0].at_s - 0.1, notes[0].at_s, F), *notes]
    named, surely = by_pitch(after_f, pitches, chanter)
    assert named[1].others == {F}
    assert len(surely) == 7


def test_where_long_notes_waver_as_widely_none_is_sure() -> None:
    """A short one is a moment of it: an F may then be as high as a high G over a low note is low."""
    notes, pitches = played([20.0 + stray for stray in STRAYS], [F] * 8)
    wavering = [LongPitch(F, 0, 100, (-12.0, -6.0, 0.0, 6.0, 12.0, -9.0, 9.0, 3.0))] * 4
    named, surely = named_by_pitch(notes, MeasuredPitches(pitches, wavering), CHANTER)
    assert surely == ()
    assert {each.note for each in named if each.others} == {F}


def test_pitches_are_held_against_where_the_long_fs_lie() -> None:
    """An F that was learnt 8 cents too low moves nothing."""
    notes, pitches = played([*[28.0 + stray for stray in STRAYS], -8.0], [*[G] * 8, F])
    long = [LongPitch(F, 0, 100, (8.0,) * 8)] * 4
    named, _ = named_by_pitch(notes, MeasuredPitches(pitches, long), CHANTER)
    assert [each.note for each in named if each.length_s < 0.5 * LONG_S and not each.others] == [*[G] * 8, F]


@pytest.mark.parametrize(("late_cents", "is_sure"), [(23.0, True), (0.0, False)])
def test_a_long_gracenote_is_sure_if_it_sounds_to_its_end(late_cents: float, *, is_sure: bool) -> None:
    """Else something else began within it, as an F does in the echo of a high G."""
    notes, pitches = played([20.0 + stray for stray in STRAYS], [G] * 8)
    pitches[-1] = replace(pitches[-1], late_cents=late_cents)
    named, _ = by_pitch(notes, pitches, CHANTER)
    assert [each.by_pitch for each in named if each.note is G] == [*[True] * 7, is_sure]


IN_ROOM = replace(CHANTER, echo=RoomEcho(0.4, 0.03))


@pytest.mark.parametrize(
    ("cents", "is_f"),
    [((2.0, -6.0, 1.0, 4.0), True), ((2.0, -6.0, 60.0, 70.0), False), ((2.0, -6.0, 1.0), False)],
)
def test_an_f_in_a_room_began_as_one_if_all_looks_at_its_beginning_say_so(
    cents: tuple[float, ...], *, is_f: bool
) -> None:
    """Then no high G gracenote came before it: for 25 ms it is surely none, and may not have that name."""
    notes, pitches = played([20.0 + stray for stray in STRAYS], [G] * 8, chanter=IN_ROOM)
    begins_s = notes[-1].stop_s
    f = HeardNote(begins_s, begins_s + 0.15, F, 0.9, frozenset({G}))
    frame = round((begins_s - IN_ROOM.grid.centre_s(-0.5)) / IN_ROOM.grid.hop_s)
    measured = MeasuredPitches(pitches, heads=[HeadPitch(frame, cents)])
    named, surely = named_by_pitch([*notes, f], measured, IN_ROOM)
    sure = [each.heard.stop_s - each.heard.at_s for each in surely if each.heard.note is F]
    assert sure == ([pytest.approx(HEAD_S)] if is_f else [])
    assert (G in named[-1].others) is not is_f


@pytest.mark.parametrize(("last_cents", "is_sure"), [(84.0, True), (3.0, False)])
def test_a_long_high_g_in_the_echo_of_an_f_is_sure_if_it_lies_in_its_place_all_over(
    last_cents: float, *, is_sure: bool
) -> None:
    """And not where its last third sounds like the F that follows."""
    f = HeardNote(0.3, 0.5, F)
    long = HeardNote(0.5, 0.62, G, 0.9, frozenset({F}))
    after = HeardNote(0.62, 1.0, F)
    first, stop = (round((each - IN_ROOM.grid.centre_s(0)) / IN_ROOM.grid.hop_s) for each in (long.at_s, long.stop_s))
    looks = (*[84.0] * 32, *[last_cents] * 16)
    pitch = ShortPitch(first, stop, 84.0, last_cents, looks)
    named, _ = by_pitch([f, long, after], [pitch], IN_ROOM)
    assert (named[1].note, named[1].by_pitch) == (G, is_sure)


def test_a_short_note_in_the_echo_of_an_f_is_never_renamed() -> None:
    """A pitch that an echo moves says at most that a note is what it was told to be."""
    notes = [HeardNote(0.3, 0.5, G), HeardNote(0.5, 0.62, F, 0.9, frozenset({G})), HeardNote(0.62, 1.0, F)]
    first, stop = (round((each - IN_ROOM.grid.centre_s(0)) / IN_ROOM.grid.hop_s) for each in (0.5, 0.62))
    named, _ = by_pitch(notes, [ShortPitch(first, stop, 84.0, 84.0, (84.0,) * 48)], IN_ROOM)
    assert named[1].note is F


@pytest.mark.parametrize(("late", "name"), [(-2.0, F), (60.0, G)])
def test_an_f_in_a_room_that_ends_as_one_is_no_high_g(late: float, name: Note) -> None:
    """After low G, whose second harmonic lies where the high G of the chart does, and echoes."""
    chanter = replace(CHANTER, echo=RoomEcho(0.4, 0.03))
    notes, pitches = played([20.0 + stray for stray in STRAYS], [G] * 8, chanter=chanter)
    at_s = notes[-1].stop_s
    f = HeardNote(at_s, at_s + 0.06, F, 0.9, frozenset({G}))
    first, stop = (chanter.grid.first_frame(each) for each in (f.at_s, f.stop_s))
    looks = [*[60.0] * 11, *[late] * (stop - first - 11)]
    after = HeardNote(f.stop_s, f.stop_s + LONG_S, Note.LOW_G)
    measured = MeasuredPitches([*pitches, ShortPitch(first, stop, 60.0, None, tuple(looks))])
    named, _ = named_by_pitch([*notes, f, after], measured, chanter)
    assert named[-2].note is name


@pytest.mark.parametrize(("between_s", "name"), [(0.02, F), (0.06, G)])
def test_while_a_high_g_still_rings_no_f_is_made_one(between_s: float, name: Note) -> None:
    """Its echo sounds in what follows the note between: 40 ms long."""
    chanter = replace(CHANTER, echo=RoomEcho(0.4, 0.03))
    notes, pitches = played([20.0 + stray for stray in STRAYS], [G] * 8, chanter=chanter)
    high_g = HeardNote(notes[-1].stop_s, notes[-1].stop_s + 0.017, G)
    between = HeardNote(high_g.stop_s, high_g.stop_s + between_s, Note.E)
    f = HeardNote(between.stop_s, between.stop_s + 0.03, F, 0.9, frozenset({G}))
    first, stop = (chanter.grid.first_frame(each) for each in (f.at_s, f.stop_s))
    after = HeardNote(f.stop_s, f.stop_s + LONG_S, Note.LOW_G)
    measured = MeasuredPitches([*pitches, ShortPitch(first, stop, 60.0, None, (60.0,) * (stop - first))])
    named, _ = named_by_pitch([*notes, high_g, between, f, after], measured, chanter)
    assert named[-2].note is name
