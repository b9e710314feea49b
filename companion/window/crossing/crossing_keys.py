"""The table of keys of the crossing screen."""

from __future__ import annotations

from companion.window.core.actions import Action
from companion.window.core.hints import Group, KeyHint, KeyTable
from companion.window.core.look_keys import LOOK_KEYS, MORE_KEY, STEP_KEYS, leave_key
from companion.window.crossing.crossing_state import CrossingState, Version
from companion.window.play.play_keys import slowness


def _held_back(state: CrossingState) -> str:
    finger = state.delay.finger
    return f"{finger.label} late" if finger is not None else "no finger late"


def _other_version(state: CrossingState) -> str:
    return "hear it clean" if state.version is Version.LATE else "hear it late"


_PLAY: KeyHint[CrossingState] = KeyHint(
    (Action.PLAY,), lambda state, display: "pause" if state.playing else "play", "Plays, or pauses.", Group.HEAR
)
_FLIP: KeyHint[CrossingState] = KeyHint(
    (Action.FLIP,),
    lambda state, display: _other_version(state),
    "Hear a change of note clean, or with a finger late.",
    Group.HEAR,
)
_LATE: KeyHint[CrossingState] = KeyHint(
    (Action.LESS_LATE, Action.MORE_LATE),
    lambda state, display: f"{state.delay.ms:g} ms late",
    "How late that finger is; 1000 ms are a second.",
    Group.HEAR,
)
_SLOW: KeyHint[CrossingState] = KeyHint(
    (Action.SLOWER, Action.FASTER),
    lambda state, display: slowness(state.slow_down),
    "How slowly time goes by.",
    Group.HEAR,
    ("slower", "faster"),
)
CROSSING_KEYS: KeyTable[CrossingState] = KeyTable(
    foot=(_PLAY, _FLIP, _LATE, _SLOW, MORE_KEY),
    sheet=(
        _PLAY,
        _FLIP,
        _LATE,
        KeyHint(
            (Action.FINGER_BACK, Action.FINGER_ON),
            lambda state, display: _held_back(state),
            "Which finger comes too late.",
            Group.HEAR,
        ),
        _SLOW,
        STEP_KEYS,
        *LOOK_KEYS,
        KeyHint(
            (Action.FIRST_NOTE,),
            lambda state, display: f"from {state.named.start.label}",
            "The note to come from.",
            Group.LEARN,
        ),
        KeyHint(
            (Action.SECOND_NOTE,),
            lambda state, display: f"to {state.named.end.label}",
            "The note to go to.",
            Group.LEARN,
        ),
        KeyHint(
            (Action.REVERSE,),
            lambda state, display: "the way back",
            "The same change of note, the other way.",
            Group.LEARN,
        ),
        KeyHint(
            (Action.MAP,), lambda state, display: "every change of note", "From any note to any other.", Group.LEARN
        ),
        leave_key("back"),
        MORE_KEY,
    ),
)
