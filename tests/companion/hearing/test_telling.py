"""What is told of a way through a sound: F and the false fingerings of high G that lie beside it."""

from __future__ import annotations

import numpy as np
import pytest

from companion.hearing.learnt import ENOUGH_TO_SEE
from companion.hearing.path import NO_PITCH, HeardStretch
from companion.hearing.telling import notes_told
from fingering.notes import Note
from tests.companion.hearing.learnt_chanter import PITCHES, learnt

pytestmark = pytest.mark.same_everywhere

FAR_NATS = 200.0


def near_f() -> int:
    """The false fingering of high G that lies nearest to F."""
    voice = learnt(0).voice
    high = [rank for rank, each in enumerate(PITCHES) if each.note is Note.HIGH_G and not each.plain]
    return min(high, key=lambda rank: abs(float(np.log(voice.hz[rank] / voice.hz[Note.F]))))


def stretch(pitch: int, first: int, stop: int, more_as_f: float = FAR_NATS) -> HeardStretch:
    """A stretch that is far from all other pitches, and so far from F."""
    costs = np.full(len(PITCHES) + 1, FAR_NATS)
    costs[Note.F] = more_as_f
    costs[pitch] = 0.0
    return HeardStretch(pitch, first, stop, tuple(costs.tolist()))


def told(before: Note, more_as_f: float, frames: int, frames_of_f: int = 9 * ENOUGH_TO_SEE) -> list[Note]:
    """The notes told of a false high G between two of another note."""
    way = [
        stretch(before, 0, 100),
        stretch(near_f(), 100, 100 + frames, more_as_f),
        stretch(before, 100 + frames, 300),
    ]
    return [each.note for each in notes_told(way, learnt(frames_of_f))]


def test_between_low_notes_a_false_high_g_is_high_g() -> None:
    """A gracenote, as likely as it may be F, where F is known."""
    assert told(Note.B, 1.0, 14) == [Note.B, Note.HIGH_G, Note.B]


def test_beside_high_g_itself_it_is_f() -> None:
    """No finger leaves such a pitch of high G within high G: the gracenote is F, unless it is much less like it."""
    assert told(Note.HIGH_G, 4.0, 14) == [Note.HIGH_G, Note.F, Note.HIGH_G]
    assert told(Note.HIGH_G, 40.0, 14) == [Note.HIGH_G]


def test_what_lasts_is_f() -> None:
    """Longer than 100 ms, which no gracenote does: 60 frames are 150 ms."""
    assert told(Note.B, 4.0, 60) == [Note.B, Note.F, Note.B]


def test_while_f_is_hardly_known_what_is_liker_it_is_f() -> None:
    """A few gracenotes alone leave F unknown, and its place to high G."""
    assert told(Note.B, -1.0, 14, frames_of_f=20) == [Note.B, Note.F, Note.B]
    assert told(Note.B, 1.0, 14, frames_of_f=20) == [Note.B, Note.HIGH_G, Note.B]


@pytest.mark.parametrize(("as_b", "as_e", "notes"), [(5.0, 20.0, [Note.B]), (20.0, 5.0, [Note.B, Note.E, Note.B])])
def test_a_short_silence_is_what_it_is_likest_to(as_b: float, as_e: float, notes: list[Note]) -> None:
    """The note on both sides too, which its own echo weakened."""
    costs = np.full(len(PITCHES) + 1, FAR_NATS)
    costs[Note.B], costs[Note.E], costs[NO_PITCH] = as_b, as_e, 0.0
    silence = HeardStretch(NO_PITCH, 100, 112, tuple(costs.tolist()))
    way = [stretch(Note.B, 0, 100), silence, stretch(Note.B, 112, 300)]
    assert [each.note for each in notes_told(way, learnt(9 * ENOUGH_TO_SEE))] == notes
