"""Commands about takes, as many as do not fit beside the others."""
