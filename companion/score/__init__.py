"""Tunes as data: parts, phrases, bars, notes and gracenotes; readers, checks and the plan of what is played."""
