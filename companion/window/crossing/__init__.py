"""The screens about crossings: one between two notes, the map of all pairs, and those of a tune."""
