"""The lesson of a tune in the window: its steps as a list, and one of them played, heard and led on."""
