"""Finds how much of our own loudspeaker a microphone hears."""
