"""Tests of `companion.lesson`."""
