"""Tests of `companion.window.lesson`."""
