"""What becomes of the tune that plays when its file is changed: it is watched, read again, and the tune goes on."""
