"""Takes: kept while they are played, listed and read."""
