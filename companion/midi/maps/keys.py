"""The computer's keys as a chanter: eight keys under the eight fingers."""

from __future__ import annotations

import enum
from collections import deque
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from companion.midi.maps.hole_map import HoleMap, NoteSwitch
from companion.midi.maps.touch import Touch
from companion.midi.stream.line import Timed
from companion.midi.stream.messages import NoteOff, NoteOn, NotesOff
from fingering.holes import ALL_CLOSED, NONE_CLOSED, Finger, HoleState


class UpperHand(enum.Enum):
    """The hand at the upper end of the chanter; most players' left."""

    LEFT = "left"
    RIGHT = "right"


# Scancodes name places on the keyboard, not what is printed there, so any layout will do: USB HID Usage Tables,
# keyboard page (07h), which SDL keeps. The letters here are a US keyboard's: the two hands' places in the middle row.
_SPACE = 44
_LEFT_ROW = (9, 7, 22, 4)  # F D S A, index finger first
_RIGHT_ROW = (13, 14, 15, 51)  # J K L ;
_UPPER_FINGERS = 3


@dataclass(frozen=True, slots=True)
class KeyLayout:
    """The scancodes of the keys under the eight fingers, thumb first."""

    scancodes: tuple[int, ...]

    @classmethod
    def for_upper_hand(cls, hand: UpperHand) -> KeyLayout:
        """The layout for a player: space bar for the thumb, the middle row for the others, index fingers inward."""
        upper, lower = (_LEFT_ROW, _RIGHT_ROW) if hand is UpperHand.LEFT else (_RIGHT_ROW, _LEFT_ROW)
        return cls((_SPACE, *upper[:_UPPER_FINGERS], *lower))

    def finger(self, scancode: int) -> Finger | None:
        """The finger that plays a key; None for all other keys."""
        return Finger(self.scancodes.index(scancode)) if scancode in self.scancodes else None

    def scancode(self, finger: Finger) -> int:
        """The key that a finger plays."""
        return self.scancodes[finger]


KEY_CHANNEL = 15
_FIRST_NUMBER = 60
KEYS_MAP = HoleMap(tuple(NoteSwitch(KEY_CHANNEL, _FIRST_NUMBER + finger) for finger in Finger))
"""How the computer's keys tell their holes: as an instrument with a sensor in each, on the last channel."""


class KeyChanter:
    """Turns key presses into the messages of an instrument with hole sensors (KEYS_MAP). Times are seconds."""

    def __init__(self, layout: KeyLayout, touch: Touch) -> None:
        self.watch = KeyWatch(touch)
        self._layout = layout
        self._touch = touch
        self._held = NONE_CLOSED
        self._told = NONE_CLOSED

    @property
    def state(self) -> HoleState:
        """The hole state in force."""
        return self._held if self._touch is Touch.CLOSED else HoleState(ALL_CLOSED ^ self._held)

    def press(self, scancode: int, at_s: float) -> Iterator[Timed]:
        """A key went down: yields its messages; none for a key outside the layout or held already."""
        finger = self._layout.finger(scancode)
        if finger is not None:
            self._hold(self._held.dropping(finger))
            yield from self._tell(at_s)

    def release(self, scancode: int, at_s: float) -> Iterator[Timed]:
        """A key came up: yields its messages; none for a key outside the layout."""
        finger = self._layout.finger(scancode)
        if finger is not None:
            self._hold(self._held.lifting(finger))
            yield from self._tell(at_s)

    def let_go(self, at_s: float) -> Iterator[Timed]:
        """Take every key to be up: the window lost the keyboard, so that no release will be told any more."""
        self._held = self._told = NONE_CLOSED
        yield Timed(at_s, NotesOff(KEY_CHANNEL))

    def _hold(self, held: HoleState) -> None:
        self.watch.see(self._held, held)
        self._held = held

    def _tell(self, at_s: float) -> Iterator[Timed]:
        told, self._told = self._told, self.state
        for finger in told.lifts_to(self.state):
            yield Timed(at_s, NoteOff(KEY_CHANNEL, _FIRST_NUMBER + finger))
        for finger in told.drops_to(self.state):
            yield Timed(at_s, NoteOn(KEY_CHANNEL, _FIRST_NUMBER + finger))


class KeySource:
    """Keeps the messages of a KeyChanter until they are fetched, as a port does."""

    def __init__(self) -> None:
        self._waiting: deque[Timed] = deque()

    def put(self, messages: Iterable[Timed]) -> None:
        """Keep the messages of a KeyChanter."""
        self._waiting.extend(messages)

    def fetch(self) -> Iterator[Timed]:
        """Yield what came since the last call, in order."""
        while self._waiting:
            yield self._waiting.popleft()


class KeyWatch:
    """Tells whether the keyboard seems to drop keys: each arrives alone, yet never enough of them together.

    A keyboard without diodes, or one that reports six keys at most, sends nothing for a key that it loses. So this
    counts the most keys ever held together while all eight are in use.
    """

    ENOUGH_PRESSES = 40

    def __init__(self, touch: Touch) -> None:
        self._needed = touch.keys_needed
        self._seen = NONE_CLOSED
        self._presses = 0
        self._most_held = 0

    @property
    def most_held(self) -> int:
        """The most keys that were ever held together: asked to hold all eight, a good keyboard shows 8."""
        return self._most_held

    @property
    def seems_to_drop_keys(self) -> bool:
        """Whether all eight keys came, in ENOUGH_PRESSES or more, and never as many at once as a tune needs."""
        return self._seen == ALL_CLOSED and self._presses >= self.ENOUGH_PRESSES and self._most_held < self._needed

    def see(self, before: HoleState, after: HoleState) -> None:
        """Take in that the keys held changed from `before` to `after`."""
        self._seen = HoleState(self._seen | after)
        self._presses += bool(before.drops_to(after))
        self._most_held = max(self._most_held, after.bit_count())
