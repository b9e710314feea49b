"""Samples as they come in: what is none, channels that cancel each other, how loud and whether clipped. Pure."""
