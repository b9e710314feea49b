"""Tests of `companion.handout`."""
