"""Aligns what was played with what was asked, and says what differed."""
