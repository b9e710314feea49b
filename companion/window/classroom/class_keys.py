"""The keys of the class: eight, of which seven stand at its foot; what a presenter's remote sends is among them."""

from __future__ import annotations

from companion.window.core.actions import Action
from companion.window.core.hints import Group, KeyHint, KeyTable
from companion.window.core.look_keys import LOOK_KEYS, MORE_KEY, STAFF_KEY, leave_key
from companion.window.play.play_keys import EAR_KEYS, PLAY_KEY, REPEAT_KEY, SLOW_KEYS, SOUND_KEYS
from companion.window.play.play_state import PlayState

_ALSO_HERE = (Action.METRONOME, Action.HAND, Action.THEME, Action.FULL_SCREEN, Action.STRICTNESS)
_OF_A_TUNE: tuple[KeyHint[PlayState], ...] = (*SOUND_KEYS, *LOOK_KEYS, *EAR_KEYS)
_AS_ELSEWHERE = tuple(hint for hint in _OF_A_TUNE if hint.actions[0] in _ALSO_HERE)
"""Rows that stand here as on the playing screen; a class always has big print, and sees the chanter from in front."""

PLAN_KEYS: KeyHint[object] = KeyHint(
    (Action.PHRASE_BACK, Action.PHRASE_ON),
    lambda state, display: "lead on",
    "Leads the class through the list, back or on.",
    Group.SEE,
)
HIDE_KEY: KeyHint[object] = KeyHint(
    (Action.HIDE,),
    lambda state, display: "hide",
    "Stops, and hides all but the chanter, so that eyes come to you; then shows it again.",
    Group.SEE,
)
NEXT_KEY: KeyHint[object] = KeyHint(
    (Action.TEMPO_DOWN,),
    lambda state, display: "next player",
    "Marks the next player, after the last the first.",
    Group.LEARN,
)
WORDS_KEY: KeyHint[object] = KeyHint(
    (Action.CHOOSE,),
    lambda state, display: "words",
    "What went well for the marked player, then what to mend; once more, and it goes.",
    Group.LEARN,
)
PLAYERS_KEY: KeyHint[object] = KeyHint(
    (Action.INSTRUMENT,), lambda state, display: "players", "Who plays on which electronic chanter.", Group.PLAY
)
CLASS_KEYS: KeyTable[PlayState] = KeyTable(
    foot=(PLAY_KEY, PLAN_KEYS, HIDE_KEY, NEXT_KEY, WORDS_KEY, MORE_KEY),
    sheet=(
        PLAY_KEY,
        SLOW_KEYS,
        REPEAT_KEY,
        PLAN_KEYS,
        HIDE_KEY,
        *_AS_ELSEWHERE,
        STAFF_KEY,
        leave_key("back to the tune"),
        PLAYERS_KEY,
        NEXT_KEY,
        WORDS_KEY,
        MORE_KEY,
    ),
)
NOBODY_KEYS: tuple[KeyHint[PlayState], ...] = (PLAY_KEY, PLAN_KEYS, HIDE_KEY, PLAYERS_KEY, MORE_KEY)
"""The keys at the foot of the class while nobody plays in."""

HIDDEN_KEYS: tuple[KeyHint[object], ...] = (
    KeyHint((Action.HIDE,), lambda state, display: "show it again", "Shows all again.", Group.SEE),
)
"""The one at the foot while all but the chanter is hidden."""
