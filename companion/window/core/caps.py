"""The table of keys: what is printed on the key of each action. One letter has one meaning, on whichever screen."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from companion.window.core.actions import Action

# The keys that are no letters go with the screen: the arrows through what it shows, Enter takes what is marked.
CAPS: Mapping[Action, str] = MappingProxyType(
    {
        Action.PLAY: "space",
        Action.BACK: "←",
        Action.ON: "→",
        Action.TEMPO_DOWN: "↓",
        Action.TEMPO_UP: "↑",
        Action.LESS_LATE: "↓",
        Action.MORE_LATE: "↑",
        Action.PHRASE_BACK: "PgUp",
        Action.PHRASE_ON: "PgDn",
        Action.FINGER_BACK: "PgUp",
        Action.FINGER_ON: "PgDn",
        Action.FINDING_BACK: "PgUp",
        Action.FINDING_ON: "PgDn",
        Action.STEP_BACK: "PgUp",
        Action.STEP_ON: "PgDn",
        Action.BEATS_HALF: "PgUp",
        Action.BEATS_TWICE: "PgDn",
        Action.METRE: "/",
        Action.SLOWER: "–",
        Action.FASTER: "+",
        Action.START: "Home",
        Action.CHOOSE: "Enter",
        Action.LESSON: "Enter",
        Action.ERASE: "Backspace",
        Action.LEAVE: "Esc",
        Action.MOMENTS: "?",
        Action.ERASE: "Backspace",
        Action.NEXT_GROUP: "Tab",
        Action.HIDE: ".",
        Action.NOTATION: ",",
        Action.PITCH_DOWN: "[",
        Action.PITCH_UP: "]",
        Action.FIRST_NOTE: "1",
        Action.SECOND_NOTE: "2",
        Action.REVERSE: "3",
        Action.FLIP: "4",
        Action.HEAR_MINE: "5",
        Action.HEAR_RIGHT: "6",
        Action.HEAR_IN_TURN: "7",
        Action.ALL_PLACES: "8",
        Action.OWN_SETTING: "9",
        Action.STRICTNESS: "A",
        Action.BIG_PRINT: "B",
        Action.CHANTER: "C",
        Action.DRONES: "D",
        Action.FREE_PLAY: "E",
        Action.FULL_SCREEN: "F",
        Action.GRACING: "G",
        Action.HAND: "H",
        Action.PLAY_KEYS: "I",
        Action.CATALOGUE: "J",
        Action.KEYS: "K",
        Action.REPEAT: "L",
        Action.METRONOME: "M",
        Action.EMBELLISHMENT: "N",
        Action.TUNES: "O",
        Action.INSTRUMENT: "P",
        Action.FEEDBACK: "Q",
        Action.TAKES: "R",
        Action.VIEWPOINT: "S",
        Action.THEME: "T",
        Action.TUNE_MAP: "U",
        Action.VOICE: "V",
        Action.MAP: "W",
        Action.CROSSING: "X",
        Action.LIVE_LEVEL: "Y",
        Action.VERDICT: "Z",
        Action.LEARN_NOTES: "0",
        Action.CLOSE_MICROPHONE: "F9",  # no letter, since it holds while text is typed as well
    }
)
"""An action that is not here is asked for on the sheet only, or by the window's frame."""
