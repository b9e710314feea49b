"""MIDI: messages from bytes, maps from messages to notes, ports and takes."""
