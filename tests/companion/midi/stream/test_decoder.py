"""Bytes become messages as the MIDI 1.0 Detailed Specification 4.2.1 says; its pages are given beside each row."""

from __future__ import annotations

import random
from collections.abc import Sequence

import mido
import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.midi.stream.framing import Framer
from companion.midi.stream.messages import (
    ActiveSensing,
    Bend,
    Control,
    Decoder,
    Message,
    NoteOff,
    NoteOn,
    NotesOff,
    Pressure,
    SystemReset,
    encode,
)

ON_60, OFF_60, ON_62 = NoteOn(0, 60), NoteOff(0, 60), NoteOn(0, 62)

# Bytes, messages, and where the specification says so.
SPECIFIED: list[tuple[str, list[Message], str]] = [
    ("90 3C 40", [ON_60], "note on, p. 10"),
    ("93 3C 40", [NoteOn(3, 60)], "the low four bits are the channel (from memory)"),
    ("80 3C 40", [OFF_60], "note off, p. 10"),
    ("90 3C 00", [OFF_60], "velocity 0 is a note off, p. 10"),
    ("90 3C 27 3C 00 3E 29", [ON_60, OFF_60, ON_62], "running status, p. A-1"),
    ("90 3C F8 27", [ON_60], "a real-time message stands in the middle of another, p. 6"),
    ("90 3C F8 27 FA 3E FE 29", [ON_60, ActiveSensing(), ON_62], "real time leaves running status alone, p. 5"),
    ("90 3C F9 27 3E FD 29", [ON_60, ON_62], "undefined real-time bytes are ignored, p. 6"),
    ("90 3C 27 F1 05 3E 29", [ON_60], "system common ends running status, p. 5"),
    ("90 3C 27 F4 3E 29", [ON_60], "an undefined status ends running status, p. 5"),
    ("90 3C 27 F6 3E 29", [ON_60], "tune request ends running status, p. 5"),
    ("90 3C 27 F2 01 02 90 3E 29", [ON_60, ON_62], "song position is passed over (from memory)"),
    ("3C 27 90 3C 27", [ON_60], "data bytes without a status are ignored, p. 5"),
    ("90 3C 90 3C 27", [ON_60], "a status byte cuts off an unfinished message, p. 5"),
    ("F0 7D 01 02 F7 90 3C 27", [ON_60], "system exclusive is passed over (from memory)"),
    ("F0 7D 3C 27 90 3C 27", [ON_60], "any status byte ends system exclusive (from memory)"),
    ("90 3C 27 F0 7D F7 3E 29", [ON_60], "system exclusive ends running status, p. 5"),
    ("F0 7D FE 02 F7 90 3C 27", [ActiveSensing(), ON_60], "real time inside system exclusive, p. 6"),
    ("F7 90 3C 27", [ON_60], "an end of exclusive alone is nothing (from memory)"),
    ("B0 7B 00", [NotesOff(0)], "All Notes Off, p. 20"),
    ("B5 78 00", [NotesOff(5)], "All Sound Off, pp. 24-25"),
    ("B0 7C 00 7D 00 7E 01 7F 00", [NotesOff(0)] * 4, "the mode messages turn all notes off, p. 20"),
    ("B0 79 00 7A 00", [], "resetting controllers and local control tell a chanter nothing (from memory)"),
    ("B0 02 40", [Control(0, 2, 64)], "breath controller (its number is from memory)"),
    ("D0 00", [Pressure(0, 0)], "channel pressure has one data byte, p. 19"),
    ("A0 3C 40 C0 05 90 3C 27", [ON_60], "key pressure and programme change are passed over (from memory)"),
    ("E0 00 40", [Bend(0, 0.0)], "the bend's centre is 00 40, p. 19"),
    ("E0 00 00", [Bend(0, -1.0)], "the lowest bend, p. 19"),
    ("E0 7F 7F", [Bend(0, 8191 / 8192)], "the highest bend, p. 19"),
    ("FF", [SystemReset()], "system reset, p. 32"),
]


@pytest.mark.parametrize(("hexadecimal", "expected", "where"), SPECIFIED, ids=[where for *_, where in SPECIFIED])
def test_bytes_mean_what_the_specification_says(hexadecimal: str, expected: list[Message], where: str) -> None:
    """Each row of the table, fed whole and fed byte by byte."""
    data = bytes.fromhex(hexadecimal)
    assert list(Decoder().feed(data)) == expected
    decoder = Decoder()
    assert [message for byte in data for message in decoder.feed([byte])] == expected


_DATA = st.integers(0, 127)
_CHANNEL = st.integers(0, 15)
_VOICES = st.one_of(
    st.builds(lambda c, n, v: mido.Message("note_on", channel=c, note=n, velocity=v), _CHANNEL, _DATA, _DATA),
    st.builds(lambda c, n, v: mido.Message("note_off", channel=c, note=n, velocity=v), _CHANNEL, _DATA, _DATA),
    st.builds(lambda c, n, v: mido.Message("control_change", channel=c, control=n, value=v), _CHANNEL, _DATA, _DATA),
    st.builds(lambda c, n: mido.Message("program_change", channel=c, program=n), _CHANNEL, _DATA),
    st.builds(lambda c, v: mido.Message("aftertouch", channel=c, value=v), _CHANNEL, _DATA),
    st.builds(lambda c, n, v: mido.Message("polytouch", channel=c, note=n, value=v), _CHANNEL, _DATA, _DATA),
    st.builds(lambda c, p: mido.Message("pitchwheel", channel=c, pitch=p), _CHANNEL, st.integers(-8192, 8191)),
)
_OTHERS = st.one_of(
    st.builds(lambda data: mido.Message("sysex", data=data), st.lists(_DATA, max_size=8)),
    st.builds(lambda p: mido.Message("songpos", pos=p), st.integers(0, 16383)),
    st.builds(lambda s: mido.Message("song_select", song=s), _DATA),
    st.just(mido.Message("tune_request")),
)
_REAL_TIME = (0xF8, 0xFA, 0xFB, 0xFC, 0xFE, 0xFF)


def _on_the_wire(messages: Sequence[mido.Message], dice: random.Random) -> bytes:
    """Encode with running status wherever it is allowed and the dice like it, real-time bytes strewn in between."""
    wire = bytearray()
    running = None
    for message in messages:
        data = message.bytes()
        if data[0] == running and dice.random() < 0.7:
            data = data[1:]
        running = message.bytes()[0] if message.bytes()[0] < 0xF0 else None
        for byte in data:
            wire.append(byte)
            if dice.random() < 0.2:
                wire.append(dice.choice(_REAL_TIME))
    return bytes(wire)


@given(st.lists(_VOICES | _OTHERS, max_size=30), st.randoms(use_true_random=False))
def test_every_legal_stream_yields_the_messages_that_mido_made_it_of(
    messages: list[mido.Message], dice: random.Random
) -> None:
    """Running status and real-time bytes in the middle change nothing, nor does where the stream is cut."""
    wire = _on_the_wire(messages, dice)
    framer = Framer()
    framed: list[bytes] = []
    while wire:
        cut = dice.randint(1, 5)
        framed.extend(framer.feed(wire[:cut]))
        wire = wire[cut:]
    heard = [mido.Message.from_bytes(message) for message in framed if message[0] < 0xF8]
    assert heard == [message for message in messages if message.type != "sysex"]


@given(st.lists(_VOICES, max_size=20), st.randoms(use_true_random=False))
def test_streams_without_running_status_are_heard_as_mido_hears_them(
    messages: list[mido.Message], dice: random.Random
) -> None:
    """On streams that mido's own parser supports, cut anywhere, both agree."""
    wire = b"".join(bytes(message.bytes()) for message in messages)
    parser, framer = mido.Parser(), Framer()
    framed: list[bytes] = []
    while wire:
        cut = dice.randint(1, 5)
        parser.feed(wire[:cut])
        framed.extend(framer.feed(wire[:cut]))
        wire = wire[cut:]
    assert [bytes(message.bytes()) for message in parser] == framed


@given(st.binary(max_size=200))
def test_no_bytes_make_the_decoder_raise(data: bytes) -> None:
    """Whatever comes, each message that is heard is one that can be sent again."""
    for message in Decoder().feed(data):
        if not isinstance(message, ActiveSensing | SystemReset):
            assert list(Decoder().feed(encode(message))) == [message]
