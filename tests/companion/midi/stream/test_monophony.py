"""A stream of notes becomes one sounding note at a time. Where no source is named, the rule is our own."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.midi.stream.line import SenderDecoder
from companion.midi.stream.messages import BREATH_CONTROLLER, Control, NoteOff, NoteOn, NotesOff, Pressure, VoiceMessage
from companion.midi.stream.monophony import (
    CHANTER_SPAN,
    DRONE_AFTER_NOTES,
    DRONE_AFTER_S,
    STUCK_AFTER_S,
    Monophony,
    SoundingNumber,
)

DRONE = 57


def heard(*played: tuple[float, VoiceMessage], numbers: frozenset[int] | None = None) -> list[tuple[float, int | None]]:
    """What sounds, and from when, as these messages come."""
    monophony = Monophony(numbers=numbers)
    return [(each.at_s, each.number) for at_s, message in played for each in monophony.hear(message, at_s)]


def tune_over_a_drone(channel: int) -> tuple[Monophony, float]:
    """A player who set a drone going and played enough above it, each note off before the next is on."""
    monophony = Monophony()
    list(monophony.hear(NoteOn(channel, DRONE), 0.0))
    at_s = 0.0
    for step in range(2 * DRONE_AFTER_NOTES):
        at_s = DRONE_AFTER_S * step / DRONE_AFTER_NOTES
        list(monophony.hear(NoteOn(0, 69 + step % 2), at_s))
        list(monophony.hear(NoteOff(0, 69 + step % 2), at_s + 0.01))
    return monophony, at_s + 0.02


def test_a_note_sounds_from_on_to_off() -> None:
    """With the very times of the messages."""
    assert heard((1.0, NoteOn(0, 69)), (1.5, NoteOff(0, 69))) == [(1.0, 69), (1.5, None)]


@pytest.mark.parametrize("margin_s", [0.0, 0.0001, 0.02, 5.0])
def test_a_new_note_before_the_old_one_ends_is_a_slur(margin_s: float) -> None:
    """On 1, on 2, off 1 changes the note once, at on 2: MIDI 1.0 Detailed Specification 4.2.1, p. 22."""
    slurred = heard((0.0, NoteOn(0, 69)), (1.0, NoteOn(0, 71)), (1.0 + margin_s, NoteOff(0, 69)), (9.0, NoteOff(0, 71)))
    assert slurred == [(0.0, 69), (1.0, 71), (9.0, None)]


def test_a_note_held_beneath_comes_back() -> None:
    """As on a keyboard, where a gracenote is struck over a held key."""
    over = heard((0.0, NoteOn(0, 69)), (1.0, NoteOn(0, 79)), (1.04, NoteOff(0, 79)))
    assert over == [(0.0, 69), (1.0, 79), (1.04, 69)]


def test_a_note_struck_again_goes_on() -> None:
    """The sound of a chanter cannot be parted by striking the same note."""
    assert heard((0.0, NoteOn(0, 69)), (1.0, NoteOn(0, 69)), (2.0, NoteOff(0, 69))) == [(0.0, 69), (2.0, None)]


def test_an_off_without_an_on_changes_nothing() -> None:
    """Such bytes come from a cable that was plugged in mid-note."""
    assert heard((0.0, NoteOff(0, 69))) == []


def test_all_notes_off_ends_the_notes_of_its_channel() -> None:
    """Notes of other channels sound on: MIDI 1.0 Detailed Specification 4.2.1, p. 20."""
    assert heard((0.0, NoteOn(0, 69)), (1.0, NotesOff(1)), (2.0, NotesOff(0))) == [(0.0, 69), (2.0, None)]


@pytest.mark.parametrize("channel", [0, 1])
def test_a_drone_is_set_apart(channel: int) -> None:
    """Whether it is on the chanter's own channel or another: once known, it does not sound between the notes."""
    monophony, at_s = tune_over_a_drone(channel)
    changes = [each for step in (NoteOn(0, 74), NoteOff(0, 74)) for each in monophony.hear(step, at_s)]
    assert [each.number for each in changes] == [74, None]


def test_a_drone_let_go_and_struck_again_is_a_note_again() -> None:
    """Nothing is held against a number for ever."""
    monophony, at_s = tune_over_a_drone(0)
    list(monophony.hear(NoteOff(0, DRONE), at_s))
    assert list(monophony.hear(NoteOn(0, DRONE), at_s)) == [SoundingNumber(at_s, DRONE)]


def test_a_note_out_of_a_chanters_reach_below_another_is_a_drone_at_once() -> None:
    """Low G to high A is 14 semitones: common practice, no source."""
    low = 81 - CHANTER_SPAN
    assert heard((0.0, NoteOn(0, 81)), (1.0, NoteOn(0, low - 1))) == [(0.0, 81)]
    assert heard((0.0, NoteOn(0, 81)), (1.0, NoteOn(0, low))) == [(0.0, 81), (1.0, low)]


def test_numbers_outside_a_known_map_never_sound() -> None:
    """A drone then is none of the chanter's business from its first moment."""
    known = frozenset({69, 71})
    over = heard((0.0, NoteOn(0, 69)), (0.5, NoteOn(0, DRONE)), (1.0, NoteOff(0, 69)), numbers=known)
    assert over == [(0.0, 69), (1.0, None)]


def test_no_breath_is_silence_until_it_comes_back() -> None:
    """Breath as controller 2 (from memory): fingers may move while nobody blows."""
    quiet = (1.0, Control(0, BREATH_CONTROLLER, 0)), (2.0, NoteOn(0, 71)), (3.0, Control(0, BREATH_CONTROLLER, 1))
    assert heard((0.0, NoteOn(0, 69)), *quiet) == [(0.0, 69), (1.0, None), (3.0, 71)]


def test_aftertouch_of_zero_is_silence_until_a_note_is_struck() -> None:
    """Breath may come so (MIDI 1.0 Detailed Specification 4.2.1, p. 19), but a keyboard's pressure does too."""
    touched = (1.0, Pressure(0, 90)), (2.0, Pressure(0, 0)), (3.0, NoteOn(0, 71))
    assert heard((0.0, NoteOn(0, 69)), *touched) == [(0.0, 69), (2.0, None), (3.0, 71)]


def test_a_stuck_note_ends_by_itself() -> None:
    """At the time when it fell due, however late anyone looks, and with all that is held beneath it."""
    monophony = Monophony()
    for number in (69, 71):
        list(monophony.hear(NoteOn(0, number), 0.0))
    assert list(monophony.pass_time(STUCK_AFTER_S)) == []
    assert list(monophony.pass_time(2 * STUCK_AFTER_S)) == [SoundingNumber(STUCK_AFTER_S, None)]
    assert list(monophony.pass_time(9 * STUCK_AFTER_S)) == []


@given(st.lists(st.tuples(st.floats(0.0, 5.0), st.binary(max_size=12)), max_size=20))
def test_no_bytes_leave_a_note_sounding_for_ever(stream: list[tuple[float, bytes]]) -> None:
    """Whatever came, silence has fallen by STUCK_AFTER_S after the last of it; and times never go back."""
    line, monophony = SenderDecoder(), Monophony()
    at_s = 0.0
    changes: list[SoundingNumber] = []
    for pause_s, data in stream:
        at_s += pause_s
        for timed in line.feed(data, at_s):
            changes.extend(monophony.hear(timed.message, timed.at_s))
    changes.extend(monophony.pass_time(at_s + STUCK_AFTER_S + 0.001))
    assert not changes or changes[-1].number is None
    assert [each.at_s for each in changes] == sorted(each.at_s for each in changes)
