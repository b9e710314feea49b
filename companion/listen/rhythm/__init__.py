"""When each note was due: the pulse, the beat of embellishments, pointing, pace."""
