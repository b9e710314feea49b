"""Runs of F and high G in a room, told apart by how loud each is."""
