"""The staff in the window: which bars stand on its line, where its notes are, which of them sounds, who engraves it."""
