"""From written bars to a tune: ties, repeats, parts, the order of playing."""
