"""Fuzzing: bytes that a machine thinks up go into everything that reads what others wrote."""
