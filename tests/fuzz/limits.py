"""What one input may cost, and how long it may be."""

from __future__ import annotations

MOST_MB = 600
"""Memory of a fuzzing process: atheris and its counters, what was thought up so far, and the input."""

HUNGRY_MB = 100
"""By how much one input may raise the most memory that the process ever had: its 8 kB, and what loads at first."""

TIMEOUT_S = 10
"""What libFuzzer gives one input by the clock, whatever it does."""

SLOW_CPU_S = 6.0
"""What one input may take of a processor under atheris, which makes our code some five times slower."""

LONGEST = {"abc": 8192, "score": 6144, "take": 4096, "midi_input": 2048, "settings": 2048, "ports": 2048, "judge": 1024}
"""Bytes of one input: as much as a tune or a take of some hundred notes has."""
