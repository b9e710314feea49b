"""Tools for practice on the playing screen, which know nothing of that screen."""
