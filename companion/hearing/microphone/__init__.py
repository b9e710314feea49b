"""Microphones: captured, heard and recorded in a process of their own; to the window each looks like a MIDI port."""
