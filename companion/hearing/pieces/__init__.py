"""What is learnt of a whole sound from pieces of it: the pieces, the drones in them, the chanter."""
