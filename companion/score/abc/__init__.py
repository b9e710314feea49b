"""A reader of pipe tunes in ABC 2.1 (the ABC music standard, December 2011)."""

from companion.score.abc.tunebook import read_abc, read_abc_text

__all__ = ["read_abc", "read_abc_text"]
