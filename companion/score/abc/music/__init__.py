"""Reads lines of music: words become notes, gracenotes and bar lines, which fill written bars."""
