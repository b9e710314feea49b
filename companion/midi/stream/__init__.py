"""Streams of MIDI bytes: from bytes to messages, and from messages to the one note that sounds."""
