"""What a room does to a chanter's sound, and the way to hear notes through it."""
