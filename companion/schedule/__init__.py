"""A tune at a tempo and slow-down becomes timed events and timed hole states."""
