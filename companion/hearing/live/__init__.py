"""Hears a chanter while it sounds: samples go in block by block, notes come out as soon as they are sure."""
