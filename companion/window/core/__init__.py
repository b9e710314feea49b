"""What every screen is made of: actions, keys, marks, layout, wrapped words, lists, colours. No pygame, no clock."""
