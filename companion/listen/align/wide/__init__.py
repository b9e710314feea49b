"""The search where something is amiss: all places of a window are open."""
