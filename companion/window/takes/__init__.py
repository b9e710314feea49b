"""Takes: the list, one played back and reviewed, and its verdict."""
