"""Takes as files: written while they are played, listed and read."""
