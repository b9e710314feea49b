"""What can be wrong with what is played in, each in one line that says what to do."""

from __future__ import annotations

import re
from collections.abc import Iterator

from companion.files.lines import one_line
from companion.midi.maps.instrument import Instrument, NoteInstrument
from companion.midi.ports.named_ports import InputPort, PortState
from companion.midi.stream.port_names import stable_name
from companion.window.core.actions import Action
from companion.window.core.caps import CAPS
from companion.window.live.frame_source import NamedSource
from companion.window.live.played_keys import PlayedKeys

LEARN = f"teach them with {CAPS[Action.INSTRUMENT]}, then {CAPS[Action.LEARN_NOTES]}"


_LIBRARY_WORDS = re.compile(r" \([^';]*\)(?=;)")
"""What a MIDI library said, as `midi.ports.driver.LibraryErrors` puts it in brackets before the remedy."""


def in_plain_words(line: str) -> str:
    """A line about ports without what the library said, which helps only whoever mends it: `eightholes ports` tells."""
    return _LIBRARY_WORDS.sub("", line)


def short_name(port: str) -> str:
    """A port's name without its client's and its passing number: "Chanter MIDI 1" for "Chanter:Chanter MIDI 1 20:0"."""
    name = one_line(stable_name(port))
    client, _, own = name.partition(":")
    return own if own.startswith(client) else name


def source_messages(source: NamedSource, *, was_there: bool) -> Iterator[str]:
    """What is wrong with the source that is followed.

    was_there: whether its port was ever open, since one that never was is only waited for.
    """
    if isinstance(source, PlayedKeys) and source.drops_keys:
        yield "this keyboard seems to drop keys held together; press I: fewer are held where a key lifts its finger"
    if isinstance(source, InputPort):
        yield from _port_messages(source, was_there)


def _port_messages(port: InputPort, was_there: bool) -> Iterator[str]:
    if port.state is PortState.AWAY and was_there:
        yield f"{short_name(port.name)} is gone; plug it in again"
    elif port.state is not PortState.AWAY and port.trouble:
        yield in_plain_words(port.trouble)
    if port.dropped:
        yield f"{port.dropped} messages found no room; close other programs"


def map_messages(instrument: Instrument) -> Iterator[str]:
    """What is not known of the instrument that plays."""
    if not isinstance(instrument, NoteInstrument):
        return
    inferred = instrument.inferred
    if inferred is not None and not inferred.sure:
        yield f"its notes are a guess, {inferred.confidence:.0%} sure; {LEARN}"
    elif instrument.unknown_number is not None:
        yield f"MIDI note {instrument.unknown_number} is none of the nine; {LEARN}"
