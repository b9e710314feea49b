"""Sound files as blocks of samples, whatever kind they are of."""
