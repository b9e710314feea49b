"""Ways through a sound by what was learnt of it: through a piece at once, and block by block."""
