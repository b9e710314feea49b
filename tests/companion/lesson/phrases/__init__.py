"""Tests of how the phrases of a tune are found and named."""
