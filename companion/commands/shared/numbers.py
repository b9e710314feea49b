"""Types for options that take a number: finite, and short enough to be repeated in a message."""

from __future__ import annotations

import argparse
import math

_LARGEST = 10**9


def finite(text: str) -> float:
    """Read an option's text as a number that is neither nan nor infinite."""
    try:
        value = float(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"'{text}' is no number") from None
    if not math.isfinite(value):
        raise argparse.ArgumentTypeError(f"'{text}' is no number of use")
    return value


def whole(text: str) -> int:
    """Read an option's text as a whole number."""
    try:
        value = int(text)
    except ValueError:  # also for more digits than Python reads
        raise argparse.ArgumentTypeError(f"'{text}' is no whole number") from None
    if abs(value) > _LARGEST:
        raise argparse.ArgumentTypeError(f"'{text}' is out of reach")
    return value
