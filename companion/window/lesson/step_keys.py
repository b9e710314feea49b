"""The table of keys of a step of a lesson; most are those of the playing screen."""

from __future__ import annotations

from operator import attrgetter

from companion.window.core.actions import Action
from companion.window.core.hints import Group, KeyHint, KeyTable
from companion.window.core.look_keys import LOOK_KEYS, MORE_KEY, STAFF_KEY, STEP_KEYS, leave_key
from companion.window.lesson.step_state import StepState
from companion.window.play.play_keys import EAR_KEYS, LIVE_KEYS, PLAY_KEY, SOUND_KEYS, same_keys

_PLAY_OF = attrgetter("play")
_PLAY: tuple[KeyHint[StepState], ...] = same_keys((PLAY_KEY,), _PLAY_OF)
_STEPS: KeyHint[StepState] = KeyHint(
    (Action.STEP_BACK, Action.STEP_ON),
    lambda state, display: "step of the lesson",
    "To the step before, or to the next, whether this one is done or not.",
    Group.LEARN,
)
_STRICTNESS = tuple(hint for hint in EAR_KEYS if hint.actions == (Action.STRICTNESS,))
STEP_TABLE: KeyTable[StepState] = KeyTable(
    foot=(*_PLAY, _STEPS, leave_key("all steps"), MORE_KEY),
    sheet=(
        *_PLAY,
        _STEPS,
        *same_keys(SOUND_KEYS, _PLAY_OF),
        STEP_KEYS,
        *LOOK_KEYS,
        STAFF_KEY,
        *same_keys((*LIVE_KEYS, *_STRICTNESS), _PLAY_OF),
        leave_key("all steps"),
        MORE_KEY,
    ),
)
