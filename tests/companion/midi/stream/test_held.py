"""A take that begins while something is held must know it."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from companion.listen.model.played import Fingered, Sounded
from companion.midi.maps.keys import KEYS_MAP
from companion.midi.maps.map_text import Map
from companion.midi.maps.note_map import DEFAULT_MAP
from companion.midi.stream.held import Held
from companion.midi.stream.line import Timed
from companion.midi.stream.messages import Control, NoteOff, NoteOn, NotesOff, Pressure, VoiceMessage
from companion.midi.takes.heading import Heading
from companion.midi.takes.reading import build_take
from fingering.holes import ALL_CLOSED, Finger
from fingering.notes import Note

THUMB, *OTHERS = (NoteOn(15, 60 + finger) for finger in Finger)


def held_after(*messages: VoiceMessage) -> tuple[VoiceMessage, ...]:
    """What is held after these."""
    held = Held()
    for message in messages:
        held.hear(message)
    return held.messages


@pytest.mark.parametrize(
    ("messages", "left"),
    [
        ((NoteOn(0, 69), NoteOn(0, 71), NoteOff(0, 69)), (NoteOn(0, 71),)),
        ((NoteOn(0, 69), NoteOn(0, 71), NoteOn(0, 69)), (NoteOn(0, 71), NoteOn(0, 69))),
        ((NoteOn(0, 69), NoteOn(1, 69), NotesOff(0)), (NoteOn(1, 69),)),
        ((Control(0, 2, 10), NoteOn(0, 69), Control(0, 2, 80)), (Control(0, 2, 80), NoteOn(0, 69))),
        ((Pressure(0, 10), Pressure(0, 20)), (Pressure(0, 20),)),
    ],
)
def test_what_ended_is_held_no_longer(messages: tuple[VoiceMessage, ...], left: tuple[VoiceMessage, ...]) -> None:
    """Notes in the order they were struck, values as they were last."""
    assert held_after(*messages) == left


@pytest.mark.parametrize(("known", "messages"), [(KEYS_MAP, (THUMB, *OTHERS)), (DEFAULT_MAP, (NoteOn(0, 69),))])
def test_a_take_that_begins_with_what_is_held_sounds_it_at_once(known: Map, messages: tuple[VoiceMessage, ...]) -> None:
    """Holes closed before it, or the note that sounded."""
    heading = Heading(datetime(2026, 1, 1, tzinfo=UTC), "x", known)
    take = build_take(heading, [Timed(0.0, message) for message in held_after(*messages)], 1.0, Path("a.mid"))
    assert take.events[-1] in (Fingered(0.0, ALL_CLOSED), Sounded(0.0, Note.LOW_A))
