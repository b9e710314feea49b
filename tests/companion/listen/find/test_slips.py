"""Which fingers a crossing noise is laid on, where the holes themselves are told."""

from __future__ import annotations

import pytest

from companion.listen.model.played import Fingered, Played
from fingering.chart import chart
from fingering.holes import Finger, HoleState
from fingering.notes import Note
from tests.companion.listen.playing import asked_of, fingered, heard, index_of, played_as

HIGH_A_TO_E = asked_of("c2d2e2d2|c2a2e2d2|c2d2e2f2|e4d4|")
D_TO_E = asked_of("A2B2c2d2|e2f2e2d2|c2B2A2B2|c2d2e2c2|")
E = chart(Note.E)


def closing(*fingers: Finger) -> HoleState:
    """E with these fingers down as well."""
    return HoleState(E | HoleState.of_closed(fingers))


def high_a_to_e(ring_ms: float, thumb_ms: float) -> list[Played]:
    """High A to E: the thumb still open until so long before E, then the upper ring finger still down so long."""
    take = fingered(played_as(HIGH_A_TO_E))
    rank = index_of(HIGH_A_TO_E, 6)
    at_s = take[rank].at_s
    thumb_open = HoleState(closing(Finger.UPPER_RING) ^ HoleState.of_closed([Finger.THUMB]))
    noise: list[Played] = [
        Fingered(at_s - (ring_ms + thumb_ms) / 1000.0, thumb_open),
        Fingered(at_s - ring_ms / 1000.0, closing(Finger.UPPER_RING)),
    ]
    return [*take[:rank], *noise, *take[rank:]]


def d_to_e(little_ms: float) -> list[Played]:
    """D to E, the upper ring finger 40 ms late, and the lower little finger up so long after E has begun to sound."""
    take = fingered(played_as(D_TO_E))
    rank = index_of(D_TO_E, 4)
    at_s = take[rank].at_s
    moved: list[Played] = [
        Fingered(at_s - 0.04, closing(Finger.UPPER_RING, Finger.LOWER_LITTLE)),
        Fingered(at_s, closing(Finger.LOWER_LITTLE)),
        Fingered(at_s + little_ms / 1000.0, E),
    ]
    return [*take[:rank], *moved, *take[rank + 1 :]]


@pytest.mark.parametrize(("thumb_ms", "is_guilty"), [(12.0, False), (34.0, False), (38.0, True)])
def test_a_finger_off_by_half_of_what_the_guiltiest_is_shares_the_blame(thumb_ms: float, is_guilty: bool) -> None:
    """The upper ring finger is off by 36 ms more than the thumb is: half lies at 36 ms (a choice, no source)."""
    (found,) = heard(HIGH_A_TO_E, high_a_to_e(36.0, thumb_ms))
    assert found.fingers == ((Finger.UPPER_RING, Finger.THUMB) if is_guilty else (Finger.UPPER_RING,))


@pytest.mark.parametrize(("little_ms", "is_guilty"), [(75.0, True), (85.0, False), (250.0, False)])
def test_a_finger_on_its_way_80_ms_into_a_note_belongs_to_the_crossing(little_ms: float, is_guilty: bool) -> None:
    """One that moves later, under a note that sounds already, made no noise of the crossing (a choice, no source)."""
    (found,) = heard(D_TO_E, d_to_e(little_ms))
    assert found.fingers == ((Finger.UPPER_RING, Finger.LOWER_LITTLE) if is_guilty else (Finger.UPPER_RING,))
