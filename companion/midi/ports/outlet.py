"""Feeds a MIDI out port with what is played, for an outside synthesiser."""

from __future__ import annotations

from companion.listen.model.played import Played, Sounded
from companion.midi.maps.note_map import DEFAULT_MAP, NoteMap
from companion.midi.ports.links import OutputLink
from companion.midi.stream.messages import NoteOff, NoteOn, NotesOff, encode
from fingering.chart import sounded

OUT_CHANNEL = 0


class Outlet:
    """Sends the notes that sound, each new one on before the old one goes off, so that a synthesiser slurs them."""

    def __init__(self, handle: OutputLink, note_map: NoteMap = DEFAULT_MAP) -> None:
        self._handle = handle
        self._map = note_map
        self._on: int | None = None

    def play(self, played: Played) -> None:
        """Send what changes. Raises UserError when the port fails."""
        note = played.note if isinstance(played, Sounded) else sounded(played.state)
        number = None if note is None else self._map.number(note)
        if number == self._on:
            return
        before, self._on = self._on, number
        if number is not None:
            self._handle.send(encode(NoteOn(OUT_CHANNEL, number)))
        if before is not None:
            self._handle.send(encode(NoteOff(OUT_CHANNEL, before)))

    def close(self) -> None:
        """Leave nothing sounding, then let the port go."""
        try:
            self.play(Sounded(0.0, None))
            self._handle.send(encode(NotesOff(OUT_CHANNEL)))
        finally:
            self._handle.close()
