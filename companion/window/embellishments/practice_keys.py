"""The table of keys of one embellishment alone; most are those of the playing screen."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from operator import attrgetter

from companion.window.core.actions import Action
from companion.window.core.display import Display
from companion.window.core.hints import Group, Hint, KeyHint, KeyTable, hint_rows, with_shift
from companion.window.core.look_keys import LOOK_KEYS, MORE_KEY, STEP_KEYS, leave_key
from companion.window.core.marks import Measure
from companion.window.embellishments.subject import Subject
from companion.window.lanes.played_in import PlayedIn
from companion.window.play.play_keys import (
    CATALOGUE_KEY,
    CROSSING_KEY,
    EAR_KEYS,
    LIVE_KEYS,
    METRONOME_KEYS,
    PLAY_KEY,
    REPEAT_KEY,
    ROUND_KEYS,
    SLOW_KEYS,
    SOUND_KEYS,
    TIME_KEYS,
    same_keys,
)
from companion.window.play.play_state import PlayState


@dataclass(frozen=True, slots=True)
class PracticeState:
    """One embellishment between two notes, and its exercise as it plays."""

    subject: Subject
    play: PlayState


def _as_in_a_tune(hints: Iterable[KeyHint[PlayState]]) -> tuple[KeyHint[PracticeState], ...]:
    return same_keys(hints, attrgetter("play"))


_PLAY, _SLOW = _as_in_a_tune((PLAY_KEY, SLOW_KEYS))
_FROM: KeyHint[PracticeState] = KeyHint(
    (Action.FIRST_NOTE,),
    lambda state, display: f"from {state.subject.before.label}",
    "The note to come from.",
    Group.LEARN,
)
_ONTO: KeyHint[PracticeState] = KeyHint(
    (Action.SECOND_NOTE,),
    lambda state, display: f"to {state.subject.embellishment.onto.label}",
    "The note to go to.",
    Group.LEARN,
)
PRACTICE_KEYS: KeyTable[PracticeState] = KeyTable(
    foot=(_PLAY, _SLOW, _FROM, _ONTO, MORE_KEY),
    sheet=(
        _PLAY,
        _SLOW,
        *_as_in_a_tune((*TIME_KEYS, *SOUND_KEYS, REPEAT_KEY, *ROUND_KEYS, *METRONOME_KEYS)),
        STEP_KEYS,
        *LOOK_KEYS,
        *_as_in_a_tune((*LIVE_KEYS, *(hint for hint in EAR_KEYS if hint.actions == (Action.STRICTNESS,)))),
        CATALOGUE_KEY,
        _FROM,
        _ONTO,
        CROSSING_KEY,
        leave_key("back"),
        MORE_KEY,
    ),
)


def practice_foot(
    state: PracticeState, display: Display, played: PlayedIn, width: float, measure: Measure
) -> tuple[Hint, ...]:
    """The keys at the foot, in one row of that width; those under the fingers, while such play, with Shift.

    Where there is no room for them, those of the two notes are left to the sheet: the notes can be clicked.
    """
    hints = with_shift(PRACTICE_KEYS.at_foot(state, display), played.caps)
    if hint_rows(hints, width, measure) == 1:
        return hints
    return tuple(hint for hint in hints if hint.actions not in (_FROM.actions, _ONTO.actions))
