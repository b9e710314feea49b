"""Maps from what an instrument sends to notes or holes: known, learnt or inferred."""
