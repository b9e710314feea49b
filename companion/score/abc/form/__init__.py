"""Turns written bars into a tune: joins ties, unfolds repeats and the part plan, numbers bars, checks their lengths."""
