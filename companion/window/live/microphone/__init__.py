"""A microphone as what is played in: which there are, what is shown of one, its sound beside a take."""
