"""Which asked note each heard note is."""
