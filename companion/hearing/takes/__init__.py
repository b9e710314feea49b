"""A recording as a take that is judged: what was heard, and what could not be heard apart, for one tune."""
