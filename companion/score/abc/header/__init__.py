"""Reads the header of a tune or file: fields, keys, metres, tempos, transposition, and the settings they make."""
