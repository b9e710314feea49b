"""Free play is kept piece by piece, as takes, and the last piece is what is written down."""

from __future__ import annotations

from pathlib import Path

import pytest

from companion.listen.model.played import Sounded
from companion.window.live.tune_run import FEWEST_EVENTS, PAUSE_S, FreePieces
from fingering.notes import Note
from tests.companion.window.live.test_input import LOW_A, B, Desk, takes_in

pytestmark = pytest.mark.same_everywhere


def played(count: int, begins_s: float) -> list[Sounded]:
    """So many notes, half a second each, and silence."""
    notes = [Sounded(begins_s + 0.5 * i, (Note.B, Note.C)[i % 2]) for i in range(count)]
    return [*notes, Sounded(begins_s + 0.5 * count, None)]


def test_a_long_silence_begins_another_piece_and_a_short_one_does_not() -> None:
    """What is written down is the last piece that is long enough."""
    pieces = FreePieces()
    first, second, third = played(10, 1.0), played(12, 20.0), played(2, 60.0)
    run = pieces.follow(6.5, first, quiet_since_s=6.0)
    assert run is not None
    assert run.began_s == 1.0
    again = pieces.follow(6.0 + PAUSE_S - 0.1, [], quiet_since_s=6.0)
    assert again is not None
    assert again.goes_on(run)
    assert pieces.follow(6.0 + PAUSE_S + 0.1, [], quiet_since_s=6.0) is None
    assert pieces.piece(15.0)[:-1] == tuple(first)
    other = pieces.follow(26.5, second, quiet_since_s=26.0)
    assert other is not None
    assert not other.goes_on(run)
    assert pieces.piece(99.0)[:-1] == tuple(second)
    pieces.follow(40.0, [], quiet_since_s=26.0)
    pieces.follow(61.5, third, quiet_since_s=61.0)
    assert len(third) < FEWEST_EVENTS
    assert pieces.piece(99.0)[:-1] == tuple(second)


def test_a_note_that_sounds_on_ends_the_piece_with_its_length() -> None:
    """An electronic chanter that never falls silent: a note held longer than a pause ends it as well."""
    pieces = FreePieces()
    held = played(10, 1.0)[:-1]
    assert pieces.follow(6.0, held, quiet_since_s=held[-1].at_s) is not None
    assert pieces.piece(7.0)[-1] == Sounded(7.0, None)
    assert pieces.piece(60.0)[-1] == Sounded(held[-1].at_s + PAUSE_S, None)
    assert pieces.follow(60.0, [], quiet_since_s=held[-1].at_s) is None


def test_free_play_is_kept_as_a_take_of_no_tune(tmp_path: Path) -> None:
    """On the disk, with what it was played on, each piece by itself; none once free play is left."""
    desk = Desk(tmp_path)
    desk.live.keep_free_play()
    for _ in range(5):
        desk.strike(LOW_A)
        desk.frames(0.5)
        desk.let(LOW_A)
        desk.strike(B)
        desk.frames(0.5)
        desk.let(B)
    desk.frames(PAUSE_S + 1.0)
    assert len(desk.live.free_piece) >= FEWEST_EVENTS
    desk.live.end_free_play()
    desk.strike(B)
    desk.frames(0.5)
    desk.live.close()
    (take,) = takes_in(tmp_path)
    assert take.heading.tune is None
    assert take.heading.source == "Feed"
    notes = [each.note for each in take.events if isinstance(each, Sounded) and each.note]
    assert notes == [Note.LOW_A, Note.B] * 5
    assert not desk.live.free_piece
