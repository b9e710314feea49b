"""From lines of music to written bars."""
