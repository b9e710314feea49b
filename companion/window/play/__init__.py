"""The playing screen, free play, the lists of tunes and instruments, and the settings that are kept."""
