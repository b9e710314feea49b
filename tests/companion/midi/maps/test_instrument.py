"""Timed messages become notes or hole states."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.listen.model.played import Fingered, Played, Sounded
from companion.midi.maps.hole_map import HoleMap, NoteSwitch
from companion.midi.maps.instrument import HANDS_OFF_S, Instrument, NoteInstrument, instrument_for
from companion.midi.maps.note_map import DEFAULT_MAP, NoteMap, Spelling
from companion.midi.stream.line import SenderDecoder, Timed
from companion.midi.stream.messages import BREATH_CONTROLLER, Bend, Control, NoteOff, NoteOn, NotesOff, VoiceMessage
from companion.midi.stream.monophony import DRONE_AFTER_S, STUCK_AFTER_S
from fingering.holes import Finger, HoleState
from fingering.notes import Note

HOLES = HoleMap(tuple(NoteSwitch(0, 40 + finger) for finger in Finger))
MAPS = (DEFAULT_MAP, NoteMap.of(57, Spelling.NATURALS), HOLES, None)


def played(instrument: Instrument, *messages: tuple[float, VoiceMessage]) -> list[Played]:
    """What these messages play."""
    return [each for at_s, message in messages for each in instrument.hear(Timed(at_s, message))]


def test_notes_are_named_by_the_map() -> None:
    """White keys from A 57: C is 60 and F is 65."""
    instrument = instrument_for(NoteMap.of(57, Spelling.NATURALS))
    assert played(instrument, (1.0, NoteOn(0, 60)), (2.0, NoteOn(0, 65)), (2.1, NoteOff(0, 60))) == [
        Sounded(1.0, Note.C),
        Sounded(2.0, Note.F),
    ]


def test_a_note_outside_the_map_is_told_and_not_sounded() -> None:
    """It is a line on the screen; a drone, which is held, is not."""
    instrument = NoteInstrument(DEFAULT_MAP)
    assert played(instrument, (0.0, NoteOn(0, 57)), (1.0, NoteOn(0, 70)), (1.1, NoteOff(0, 70))) == []
    assert instrument.unknown_number == 70
    played(instrument, (DRONE_AFTER_S, NoteOff(0, 57)))
    assert instrument.unknown_number == 70


def test_the_bend_is_passed_on() -> None:
    """From -1 to 1 of whatever the voice makes of it."""
    instrument = NoteInstrument(DEFAULT_MAP)
    played(instrument, (0.0, Bend(0, -0.5)))
    assert instrument.bend == -0.5


def test_without_a_map_the_nine_notes_are_soon_known() -> None:
    """The nine notes upward twice, as one tries an instrument: low A is 54, C and F the white-key way."""
    asked = NoteMap.of(54, Spelling.NATURALS)
    instrument = NoteInstrument()
    for rank, number in enumerate(asked.numbers * 2):
        played(instrument, (float(rank), NoteOn(0, number)), (rank + 0.9, NoteOff(0, number)))
    assert instrument.note_map == asked
    assert instrument.inferred is not None
    assert instrument.inferred.sure


def test_sensors_tell_hole_states() -> None:
    """One event for each hole that moves."""
    instrument = instrument_for(HOLES)
    thumb = HoleState.of_closed([Finger.THUMB])
    both = HoleState.of_closed([Finger.THUMB, Finger.UPPER_INDEX])
    assert played(instrument, (1.0, NoteOn(0, 40)), (2.0, NoteOn(0, 41)), (3.0, NoteOff(0, 41))) == [
        Fingered(1.0, thumb),
        Fingered(2.0, both),
        Fingered(3.0, thumb),
    ]


def test_fingers_move_unheard_while_nobody_blows() -> None:
    """Breath of zero is silence; when it comes back the holes are as the fingers are."""
    instrument = instrument_for(HOLES)
    before = (1.0, NoteOn(0, 40)), (2.0, Control(0, BREATH_CONTROLLER, 0)), (3.0, NoteOn(0, 41))
    assert played(instrument, *before)[1:] == [Sounded(2.0, None)]
    both = HoleState.of_closed([Finger.THUMB, Finger.UPPER_INDEX])
    assert played(instrument, (4.0, Control(0, BREATH_CONTROLLER, 80))) == [Fingered(4.0, both)]
    assert played(instrument, (5.0, Control(0, BREATH_CONTROLLER, 81))) == []


def test_sensors_that_fall_silent_are_silence() -> None:
    """All notes off, hands off for a while, and a state that never changes."""
    instrument = instrument_for(HOLES)
    assert played(instrument, (1.0, NoteOn(0, 40)), (2.0, NotesOff(0)))[-1] == Sounded(2.0, None)
    played(instrument, (3.0, NoteOn(0, 40)))
    assert list(instrument.pass_time(999.0)) == [Sounded(3.0 + STUCK_AFTER_S, None)]
    played(instrument, (1000.0, NoteOff(0, 40)))
    assert list(instrument.pass_time(2000.0)) == [Sounded(1000.0 + HANDS_OFF_S, None)]


@pytest.mark.parametrize("known", MAPS, ids=["sharps", "naturals", "holes", "none"])
@given(stream=st.lists(st.tuples(st.floats(0.0, 5.0), st.binary(max_size=12)), max_size=20))
def test_no_bytes_raise_or_sound_for_ever(known: NoteMap | HoleMap | None, stream: list[tuple[float, bytes]]) -> None:
    """Whatever a port sends, silence follows it, and no event repeats the one before."""
    line, instrument = SenderDecoder(), instrument_for(known)
    at_s = 0.0
    events: list[Played] = []
    for pause_s, data in stream:
        at_s += pause_s
        events.extend(each for timed in line.feed(data, at_s) for each in instrument.hear(timed))
    events.extend(instrument.pass_time(at_s + STUCK_AFTER_S + 0.001))
    assert not events or (isinstance(events[-1], Sounded) and events[-1].note is None)
    told = [each.note if isinstance(each, Sounded) else each.state for each in events]
    assert all(first is not second for first, second in pairwise(told))


@pytest.mark.parametrize("known", [DEFAULT_MAP, HOLES])
def test_a_note_may_be_held_for_longer_where_that_is_asked_for(known: NoteMap | HoleMap) -> None:
    """In a tune that runs slowly."""
    instrument = instrument_for(known, 10.0 * STUCK_AFTER_S)
    number = DEFAULT_MAP.number(Note.E) if known is DEFAULT_MAP else 40
    assert len(played(instrument, (1.0, NoteOn(0, number)))) == 1
    assert list(instrument.pass_time(1.0 + 10.0 * STUCK_AFTER_S)) == []
    assert list(instrument.pass_time(999.0)) == [Sounded(1.0 + 10.0 * STUCK_AFTER_S, None)]
