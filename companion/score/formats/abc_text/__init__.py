"""Writes tunes as ABC 2.1, so that reading what was written gives the same tune."""
