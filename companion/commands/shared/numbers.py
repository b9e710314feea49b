"""Numbers on the command line: what argparse hands on is finite, and small enough to be said again."""

from __future__ import annotations

import argparse
import math

_LARGEST = 10**9


def finite(text: str) -> float:
    """The type of an option that takes a number: neither nan nor infinite."""
    try:
        value = float(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"'{text}' is no number") from None
    if not math.isfinite(value):
        raise argparse.ArgumentTypeError(f"'{text}' is no number of use")
    return value


def whole(text: str) -> int:
    """The type of an option that takes a whole number."""
    try:
        value = int(text)
    except ValueError:  # also for more digits than Python reads
        raise argparse.ArgumentTypeError(f"'{text}' is no whole number") from None
    if abs(value) > _LARGEST:
        raise argparse.ArgumentTypeError(f"'{text}' is out of reach")
    return value
