"""Streams of MIDI bytes: messages, and what of them sounds."""
