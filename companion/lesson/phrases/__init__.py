"""Finds the phrases of a tune, and what each of them is to those before it."""
