"""What of our own loudspeaker is in what a microphone hears."""
