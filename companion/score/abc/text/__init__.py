"""From bytes to lines that can be read, and the problems met on the way."""
