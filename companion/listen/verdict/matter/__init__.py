"""One thing to learn: what it rests on, how it is said, its drill, and how urgent it is."""
