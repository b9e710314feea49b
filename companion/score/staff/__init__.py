"""A tune as it stands on a staff: notes that can be written, with ties, tuplets and beams; for all that write one."""
