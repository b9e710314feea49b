"""Hears a chanter in sound: samples in, the same note events out as an electronic chanter gives. It knows no files."""
