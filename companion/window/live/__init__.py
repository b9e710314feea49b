"""What is played in while the window is open: instruments, ear, sound, takes being kept."""
