"""What an instrument sends for each note or hole: known, learnt or guessed."""
