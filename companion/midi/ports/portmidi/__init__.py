"""The ports of PortMidi, where python-rtmidi is not installed."""
