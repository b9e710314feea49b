"""Takes of what is played in, while it is played."""
