"""Standard MIDI Files of tunes, for other programs to play."""
