"""How a tune is practised: what goes round, and how its tempo rises."""
