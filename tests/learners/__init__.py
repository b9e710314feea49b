"""A simulator of learners: takes with known faults, drawn from stated distributions, to measure the ear by."""
