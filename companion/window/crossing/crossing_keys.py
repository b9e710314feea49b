"""The keys of the crossing screen, each with words that say what it does and what is set."""

from __future__ import annotations

from companion.window.core.actions import Action
from companion.window.core.hints import LOOK_KEYS, MORE_KEYS, KeyHint
from companion.window.crossing.crossing_state import CrossingState, Version
from companion.window.play.footer import slowness


def _held_back(state: CrossingState) -> str:
    finger = state.delay.finger
    return f"{finger.label} held back" if finger is not None else "none held back"


def _other_version(state: CrossingState) -> str:
    return "play it clean" if state.version is Version.LATE else "play the fault"


FIRST_KEYS: tuple[KeyHint[CrossingState], ...] = (
    KeyHint((("space", Action.PLAY),), lambda state, display: "pause" if state.playing else "play"),
    KeyHint((("X", Action.FLIP),), lambda state, display: _other_version(state)),
    KeyHint(((",", Action.FINGER_BACK), (".", Action.FINGER_ON)), lambda state, display: _held_back(state)),
    KeyHint((("↓", Action.LESS_LATE), ("↑", Action.MORE_LATE)), lambda state, display: f"{state.delay.ms:g} ms"),
)
OTHER_KEYS: tuple[KeyHint[CrossingState], ...] = (
    KeyHint((("←", Action.BACK), ("→", Action.ON)), lambda state, display: "one movement"),
    KeyHint((("–", Action.SLOWER), ("+", Action.FASTER)), lambda state, display: slowness(state.slow_down)),
    KeyHint((("1", Action.FIRST_NOTE),), lambda state, display: f"from {state.named.start.label}"),
    KeyHint((("2", Action.SECOND_NOTE),), lambda state, display: f"to {state.named.end.label}"),
    KeyHint((("R", Action.REVERSE),), lambda state, display: "the way back"),
    KeyHint((("W", Action.MAP),), lambda state, display: "all pairs"),
    *LOOK_KEYS,
    KeyHint((("Esc", Action.LEAVE),), lambda state, display: "back"),
)
CROSSING_KEYS = FIRST_KEYS + OTHER_KEYS + MORE_KEYS
