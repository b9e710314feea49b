"""What was heard, read anew where a finding rests on it: with the tune in hand, and kindly."""
