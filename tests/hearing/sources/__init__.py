"""What sounds a take: our own voices, a bore blown by reed pulses, and General MIDI reeds of a sampled sound font."""
