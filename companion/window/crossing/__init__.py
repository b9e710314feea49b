"""The screens about crossings: one between two notes, the map of every change of note, and those of a tune."""
