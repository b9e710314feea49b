"""The playing screen, free play, and the lists and questions around them."""
