"""Tests of `companion.lesson.page`."""
