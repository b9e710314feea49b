"""Ways through a sound."""
