"""What each reading of a heard note costs: how unlikely it is."""
