"""What is printed on the computer's keys, whatever its layout."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import pygame

_SCANCODES = 512  # SDL's own number of them
# Keys are named by what they type: ASCII, and the letters of Latin, Greek and Cyrillic keyboards.
_TYPED = (*range(0x20, 0x7F), *range(0xA1, 0x180), *range(0x370, 0x400), *range(0x400, 0x500))


def caps_by_scancode() -> Mapping[int, str]:
    """What each key of the layout in force types. There must be a window.

    pygame tells only the place of a key that types something, through this wrapper; so everything is asked for.
    """
    places = pygame.key.ScancodeWrapper(tuple(range(_SCANCODES)))  # type: ignore[arg-type]  # a key is down or not, says the stub
    return {place: chr(typed).upper() for typed in reversed(_TYPED) if (place := int(places[typed]))}


def caps_of(scancodes: Sequence[int]) -> tuple[str, ...]:
    """The caps of these keys."""
    caps = caps_by_scancode()
    return tuple("space" if caps.get(scancode) == " " else caps.get(scancode, "?") for scancode in scancodes)
