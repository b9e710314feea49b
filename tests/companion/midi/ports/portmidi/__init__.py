"""Tests of what opens ports where python-rtmidi is not installed."""
