"""The sheet over the picture: all that can be done on a screen, in groups."""
