"""A recording as a take."""
