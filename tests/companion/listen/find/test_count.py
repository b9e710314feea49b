"""What is counted of a take: how much of each sort was asked for, and how much of it was as asked."""

from __future__ import annotations

from dataclasses import replace

from companion.listen.find.listener import Listener, listen
from companion.listen.model.asked import Asked
from companion.listen.model.played import Sounded
from companion.listen.model.tally import Tally
from companion.schedule.events import EventKind
from fingering.notes import Note
from tests.companion.listen.playing import asked_of, index_of, leapt, played_as, with_note

TUNE = asked_of("A2{g}B2{gcd}c2d2|e2f2e2d2|c2B2A2B2|e4A4|")
AS_ASKED = Tally(
    notes=14, notes_right=14, gracenotes=4, gracenotes_right=4, movements=17, movements_clean=17, heard_notes=18
)
"""Fourteen melody notes and four gracenotes, no two alike in a row, so that there are 17 movements."""


def tally_of(asked: Asked, take: list[Sounded]) -> Tally:
    """What is counted of a whole take, but for its places."""
    listener = Listener(asked)
    listen(take, listener)
    return replace(listener.tally, places=())


def test_a_take_as_asked() -> None:
    """All is right, nothing is extra, and each note is at its place."""
    take = played_as(TUNE)
    assert tally_of(TUNE, take) == AS_ASKED
    listener = Listener(TUNE)
    listen(take, listener)
    melody = [event for event in TUNE.schedule.events if event.kind is EventKind.MELODY]
    assert listener.tally.places == tuple((event.played, 1.0 + event.start_s) for event in melody)


def test_a_gracenote_of_ones_own_is_extra() -> None:
    """It and the note that goes on after it are heard as well."""
    take = played_as(TUNE)
    take = with_note(take, take[index_of(TUNE, 4)].at_s + 0.4, Note.HIGH_G, 0.04)
    assert tally_of(TUNE, take) == replace(AS_ASKED, heard_notes=20, extras=1)


def test_a_noise_of_a_crossing_is_not_extra_but_its_movement_is_not_clean() -> None:
    """Low A between D and E."""
    take = played_as(TUNE)
    take = with_note(take, take[index_of(TUNE, 4)].at_s - 0.04, Note.LOW_A, 0.04)
    assert tally_of(TUNE, take) == replace(AS_ASKED, heard_notes=19, movements_clean=16)


def test_a_wrong_note_was_asked_for_and_not_right() -> None:
    """High A for F."""
    take, rank = played_as(TUNE), index_of(TUNE, 5)
    take[rank] = Sounded(take[rank].at_s, Note.HIGH_A)
    assert tally_of(TUNE, take) == replace(AS_ASKED, notes_right=13)


def test_a_wrong_gracenote_and_a_missing_one_are_not_right() -> None:
    """E for G onto B; the D of a doubling on C left out, so that its C is not heard apart from the melody note."""
    take, wrong, lost = played_as(TUNE), index_of(TUNE, 1, 0), index_of(TUNE, 2, 2)
    take[wrong] = Sounded(take[wrong].at_s, Note.E)
    take = [*take[:lost], *take[lost + 2 :]]
    found = tally_of(TUNE, take)
    assert (found.gracenotes, found.gracenotes_right) == (4, 1)
    assert (found.notes, found.notes_right) == (14, 14)


def test_a_note_left_out_was_asked_for() -> None:
    """F of the second bar: one note and one movement fewer."""
    take, rank = played_as(TUNE), index_of(TUNE, 13)
    found = tally_of(TUNE, [*take[: rank - 1], *take[rank:]])
    assert (found.notes, found.notes_right, found.heard_notes) == (14, 13, 17)


def test_going_back_is_a_leap_and_what_is_played_again_is_asked_for_again() -> None:
    """From the end of bar 2 to its beginning."""
    second, third = TUNE.bar_starts[1], TUNE.bar_starts[2]
    found = tally_of(TUNE, leapt(TUNE, third, second))
    assert (found.leaps, found.skipped_bars) == (1, ())
    assert (found.notes, found.notes_right, found.heard_notes) == (18, 18, 22)


def test_a_bar_skipped_is_a_leap_and_known_by_its_number() -> None:
    """From the end of bar 1 to the beginning of bar 3."""
    second, third = TUNE.bar_starts[1], TUNE.bar_starts[2]
    found = tally_of(TUNE, leapt(TUNE, second, third))
    assert (found.leaps, found.skipped_bars, found.heard_notes) == (1, (2,), 14)
    assert tally_of(TUNE, leapt(TUNE, second, third + 1)).skipped_bars == (2, 3)
