"""The practice-chanter companion: everything that touches files, sound, MIDI or a window."""
