"""Notes that were not asked for: noises of a crossing, gracenotes, melody notes."""
