"""A whole sound learnt from pieces of it: the pieces, the drones in them, the chanter."""
