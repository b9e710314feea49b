"""Films: the window's own pictures of a tune or a take, one after the other, with its sound."""
