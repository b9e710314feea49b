"""Tests of `companion.lesson.progress`."""
