"""MIDI ports, owned by a process of their own."""
