"""Tests of microphones as what is played in."""
