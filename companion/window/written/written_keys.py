"""The keys of a tune that was written down."""

from __future__ import annotations

from operator import attrgetter

from companion.schedule.pace import tempo_of
from companion.window.core.actions import Action
from companion.window.core.display import Display
from companion.window.core.hints import Group, Hint, KeyHint, KeyTable, of_use
from companion.window.core.look_keys import LOOK_KEYS, MORE_KEY, STAFF_KEY, leave_key
from companion.window.play.play_keys import PLAY_KEY, SLOW_KEYS, SOUND_KEYS, same_keys
from companion.window.written.written_state import WrittenState

_PLAY_OF = attrgetter("play")


def _accept_words(state: WrittenState, display: Display) -> str:
    return "it is right" if state.left else "save it"


def _reading_words(state: WrittenState, words: str) -> str:
    """The words for another reading; where one place has none the key stays, or the picture would jump from place to
    place."""
    if not state.doubts:
        return ""
    return words if state.readings > 1 else "no other"


def _place_words(state: WrittenState, display: Display) -> str:
    return f"{state.marked + 1} of {len(state.doubts)}" if state.doubts else ""


def _beats(state: WrittenState, display: Display) -> str:
    return f"{tempo_of(state.tune).beats_per_minute:.0f} beats a minute"


_ACCEPT: KeyHint[WrittenState] = KeyHint(
    (Action.CHOOSE,), _accept_words, "Takes what stands there for right, and goes to the next place.", Group.LEARN
)
_OTHER: KeyHint[WrittenState] = KeyHint(
    (Action.ON,),
    lambda state, display: _reading_words(state, "other reading"),
    "Takes the next reading of an unsure place, after the last the first, and sounds it.",
    Group.LEARN,
)
_BEFORE: KeyHint[WrittenState] = KeyHint(
    (Action.BACK,),
    lambda state, display: _reading_words(state, "the reading before"),
    "Takes the reading before of an unsure place, and sounds it.",
    Group.LEARN,
)
_PLACE: KeyHint[WrittenState] = KeyHint(
    (Action.TEMPO_DOWN, Action.TEMPO_UP), _place_words, "From one unsure place to the next.", Group.LEARN
)
_METRE: KeyHint[WrittenState] = KeyHint(
    (Action.METRE,),
    lambda state, display: state.tune.meter.text,
    "Writes it down again in another metre.",
    Group.LEARN,
)
_BEATS: KeyHint[WrittenState] = KeyHint(
    (Action.BEATS_HALF, Action.BEATS_TWICE),
    _beats,
    "Writes it down again with half as many beats a minute, or twice as many.",
    Group.LEARN,
    ("half", "twice"),
)
_SAVE: KeyHint[WrittenState] = KeyHint(
    (Action.TUNE_SAVE,),
    lambda state, display: "save the tune now",
    "As a file, in a folder that you choose.",
    Group.LEARN,
)
_PLAY: tuple[KeyHint[WrittenState], ...] = same_keys((PLAY_KEY,), _PLAY_OF)
WRITTEN_TABLE: KeyTable[WrittenState] = KeyTable(
    foot=(*_PLAY, _ACCEPT, _OTHER, _PLACE, leave_key("back"), MORE_KEY),
    sheet=(
        *_PLAY,
        *same_keys((SLOW_KEYS, *SOUND_KEYS), _PLAY_OF),
        *LOOK_KEYS,
        STAFF_KEY,
        _ACCEPT,
        _OTHER,
        _BEFORE,
        _PLACE,
        _METRE,
        _BEATS,
        _SAVE,
        leave_key("back"),
        MORE_KEY,
    ),
)
WAITING_TABLE: KeyTable[object] = KeyTable(foot=(leave_key("back"),), sheet=())


def foot_hints(state: WrittenState, display: Display) -> tuple[Hint, ...]:
    """The keys at the foot; what would do nothing now is left out."""
    return of_use(WRITTEN_TABLE.at_foot(state, display))


def sheet_hints(state: WrittenState, display: Display) -> tuple[Hint, ...]:
    """The keys on the sheet; what would do nothing now is left out."""
    return of_use(WRITTEN_TABLE.on_sheet(state, display))
