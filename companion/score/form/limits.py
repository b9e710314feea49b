"""How much music one tune may hold, so that a slip of the pen or a file of noise cannot fill the memory."""

from __future__ import annotations

MOST_REST_BARS = 500
"""Bars of rest that one sign may ask for: more than any part that a piper counts."""

MOST_METRES = 256
"""How many times its metre a bar may last: a whole tune of eight parts without bar lines still fits."""

MOST_BARS = 5_000
"""Bars that a tune may have: a hundred times a long march."""

MOST_NOTES = 50_000
"""Notes that a tune may have."""

MOST_NOTES_IN_BAR = 4_000
"""Notes that a bar may hold, however short: a whole tune without bar lines and with its repeats written out."""
