"""From written bars to a tune, whatever file they stood in: repeats, endings, ties, parts, the order of playing."""
