"""Keeps what each learner has played and knows, and says what is due again."""
