"""Where in the tune a learner is, and what happened on the way."""
