"""Hand-outs for a music stand: tunes with their plan, phrases and finger movements, set on paper."""
