"""MIDI ports, the decoder, note maps and takes."""
