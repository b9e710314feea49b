"""How strongly the keys at the foot are drawn: they fade while a tune plays and nobody asks for anything."""

from __future__ import annotations

STAYS_S = 3.0
"""They stay for so long after the last key, click or movement of the pointer."""

FADES_S = 0.8
"""From fully there to gone; they come back at once. One slow change is no flash (W3C, WCAG 2.2, 2.3.1)."""


class FootFade:
    """Remembers when the user last did something. Times are seconds on one clock."""

    def __init__(self, now_s: float) -> None:
        self._asked_s = now_s

    def asked(self, now_s: float) -> None:
        """The user did something."""
        self._asked_s = now_s

    def strength(self, now_s: float, *, fades: bool) -> float:
        """From 1, fully there, to 0, gone; always 1 for a foot that does not fade now, which then stays a while."""
        if not fades:
            self._asked_s = now_s
        return min(1.0, max(0.0, 1.0 - (now_s - self._asked_s - STAYS_S) / FADES_S))
