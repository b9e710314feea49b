"""What every screen is made of: intents, marks, measures, words, lists. Pure but for fonts."""
