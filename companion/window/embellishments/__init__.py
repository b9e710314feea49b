"""Embellishments: the catalogue to choose from, and one of them to be watched, slowed down and played back."""
