"""What was heard, read with the tune in hand."""
