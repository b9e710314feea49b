"""From the notes that sounded to notes of melody with their gracenotes, counted in feet. Start at `likeliest`."""
