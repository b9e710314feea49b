"""Choosing what to play: recent files, our tunes and drills, files of one's own; by search, by folder, by a drop."""
