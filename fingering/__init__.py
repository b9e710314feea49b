"""What a piper's fingers do on the chanter and what is heard: pure facts and functions, no devices, files or clocks."""
