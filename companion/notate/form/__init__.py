"""Metre, bars, parts and repeats of a counted take. Start at `metre.find_metres`, then `folding.fold`."""
