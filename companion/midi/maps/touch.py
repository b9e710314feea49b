"""`Touch`: what a key of the computer that is held down means."""

from __future__ import annotations

import enum


class Touch(enum.Enum):
    """Whether a key held down means a CLOSED hole or a LIFTED finger.

    LIFTED needs fewer keys at once, for keyboards that lose some of many.
    """

    CLOSED = "hold a key to close its hole"
    LIFTED = "hold a key to lift its finger"

    @property
    def keys_needed(self) -> int:
        """The most keys at once that playing a tune needs: six closed for C and E, three lifted for D and F."""
        return 6 if self is Touch.CLOSED else 3
