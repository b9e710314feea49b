"""A single line of staff, for a screen: what stands on it, its drawing, where its notes are, its pixels."""
