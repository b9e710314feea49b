"""Tunes as data, the ABC reader that makes them, and the checks of what is written."""
