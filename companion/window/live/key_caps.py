"""The computer's keys that play, and what is printed on them, whatever the layout."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import pygame

from companion.midi.maps import keys
from companion.midi.maps.keys import KeyLayout
from companion.midi.maps.touch import Touch
from companion.midi.ports.monitor import Sound
from companion.window.core.display import Hand
from companion.window.live.played_keys import PlayedKeys

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


def keys_under(upper: Hand, touch: Touch, sound: Sound, clock: Callable[[], float]) -> PlayedKeys:
    """The keys under a player's fingers, that hand above."""
    layout = KeyLayout.for_upper_hand(keys.UpperHand.LEFT if upper is Hand.LEFT else keys.UpperHand.RIGHT)
    return PlayedKeys(layout, touch, caps_of(layout.scancodes), sound, clock)
