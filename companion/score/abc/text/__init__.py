"""Turns the bytes of a file into lines that can be read, and collects the problems met on the way."""
