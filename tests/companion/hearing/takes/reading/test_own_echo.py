"""What the tune alone puts in the echo of the note that it asks for again."""

from __future__ import annotations

from dataclasses import replace

import pytest

from companion.hearing.heard import HeardNote
from companion.hearing.takes.reading.own_echo import without_own_echoes
from fingering.notes import Note
from tests.companion.hearing.takes.said import HOP_S, costs_of_notes, counted

pytestmark = pytest.mark.same_everywhere

HEARD = [HeardNote(0.0, 0.5, Note.D), HeardNote(0.5, 0.545, Note.HIGH_G), HeardNote(0.545, 1.0, Note.F)]
IN_ECHO = HeardNote(0.57, 0.59, Note.HIGH_G)


def read_with(put_in: HeardNote, heard: list[HeardNote] = HEARD) -> list[HeardNote]:
    """What was heard, with a note put in its last one."""
    parted = [replace(heard[-1], stop_s=put_in.at_s), put_in, replace(heard[-1], at_s=put_in.stop_s)]
    return [*heard[:-1], *parted]


def left_of(put_in: HeardNote, nats: float, heard: list[HeardNote] = HEARD) -> list[HeardNote]:
    """What is left of that where the note that was put in costs so much more than the one around it."""
    costs = costs_of_notes(heard, 1.2, 1.0)
    inside = slice(round(put_in.at_s / HOP_S), round(put_in.stop_s / HOP_S))
    costs[inside, put_in.note] = costs[inside, heard[-1].note] + nats / (inside.stop - inside.start)
    return without_own_echoes(read_with(put_in, heard), heard, counted(costs))


@pytest.mark.parametrize(("nats", "is_left"), [(7.0, True), (11.0, False)])
def test_a_high_g_that_is_less_likely_by_far_in_its_own_echo_is_that(nats: float, *, is_left: bool) -> None:
    """25 ms after another of 45 ms, and not heard before the tune was asked."""
    assert left_of(IN_ECHO, nats) == (read_with(IN_ECHO) if is_left else HEARD)


@pytest.mark.parametrize(
    "put_in",
    [
        replace(IN_ECHO, stop_s=0.61),  # longer than the shortest
        HeardNote(0.63, 0.65, Note.HIGH_G),  # long after the other
        HeardNote(0.57, 0.59, Note.E),  # which did not sound before
    ],
)
def test_what_is_no_echo_is_left(put_in: HeardNote) -> None:
    """However unlikely it is: that is weighed elsewhere."""
    assert left_of(put_in, 20.0) == read_with(put_in)


def test_after_a_note_as_short_as_in_a_birl_it_is_left() -> None:
    """One of 30 ms leaves no echo that is told from another."""
    short = [replace(HEARD[0], stop_s=0.515), replace(HEARD[1], at_s=0.515), HEARD[2]]
    assert left_of(IN_ECHO, 20.0, short) == read_with(IN_ECHO, short)


def test_what_was_heard_by_itself_is_left() -> None:
    """Before the tune was asked."""
    read = read_with(IN_ECHO)
    costs = costs_of_notes(HEARD, 1.2, 1.0)
    costs[228:236, Note.HIGH_G] += 20.0
    assert without_own_echoes(read, HEARD, counted(costs)) == HEARD
    assert without_own_echoes(read, read, counted(costs)) == read
