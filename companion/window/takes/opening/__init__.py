"""A take that is opened from the list: read in a thread, and laid beside its own tune, wherever that is."""
