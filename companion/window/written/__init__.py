"""Turns what was played into a tune in the window: its unsure places are decided, then it is saved and practised."""
