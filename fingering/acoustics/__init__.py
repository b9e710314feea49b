"""A model of the practice chanter: what its bore and holes sound, computed and frozen into tables."""
