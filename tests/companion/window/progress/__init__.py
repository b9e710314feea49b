"""Tests of `companion.window.progress`."""
