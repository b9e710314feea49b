"""Turns a tune at a tempo and slow-down into timed events, timed hole states and finger lanes."""
