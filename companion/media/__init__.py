"""Compressed sound and films as files: the one place that knows the library which encodes them."""
