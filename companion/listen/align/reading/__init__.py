"""How heard notes are read: the steps, the paths that they make, and the tempo that they show."""
