"""What is said of hands, health and shared chanters on everything that is printed."""

from __future__ import annotations

CARE = (
    "Short sittings, with a rest after 25 minutes at most. Stop when wrists or fingers hurt, and see somebody who "
    "knows if it goes on. Wash a chanter that others play too."
)
"""Common practice, no source."""
