"""Tunes in other formats than ABC, read and written, and the one place where a file becomes a book of tunes."""
