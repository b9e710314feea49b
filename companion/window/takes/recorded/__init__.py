"""The sound of a take in review: heard, and played back."""
