"""What anyone plays becomes a tune on paper. Start at `notating.notate`."""
