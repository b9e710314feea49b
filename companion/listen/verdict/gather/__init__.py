"""Which findings are one thing to learn together."""
