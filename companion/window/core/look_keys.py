"""The keys that most screens share: how the picture looks, one movement on or back, and the sheet of all else."""

from __future__ import annotations

from companion.window.core.actions import Action
from companion.window.core.display import Display, Print
from companion.window.core.hints import Group, KeyHint


def _prints(state: object, display: Display) -> str:
    return "big print" if display.print is Print.BIG else "normal print"


def _full_screen(state: object, display: Display) -> str:
    return "full screen" if display.full_screen else "in a window"


STEP_KEYS: KeyHint[object] = KeyHint(
    (Action.BACK, Action.ON),
    lambda state, display: "step",
    "Goes from one finger movement to the next, and stays there to be looked at.",
    Group.SEE,
)
MORE_KEY: KeyHint[object] = KeyHint(
    (Action.KEYS,), lambda state, display: "more", "Shows all that can be done here, or hides it.", Group.SEE
)
PAGE_KEYS: tuple[KeyHint[object], ...] = (
    KeyHint(
        (Action.THEME,),
        lambda state, display: f"{display.theme.name}",
        "Paper is light, for a lit room; night is dark.",
        Group.SEE,
    ),
    KeyHint((Action.BIG_PRINT,), _prints, "Big print is read from the back of a hall.", Group.SEE),
    KeyHint((Action.FULL_SCREEN,), _full_screen, "Fills the screen; Esc goes back.", Group.SEE),
)
LOOK_KEYS: tuple[KeyHint[object], ...] = (
    KeyHint(
        (Action.VIEWPOINT,),
        lambda state, display: display.viewpoint.value,
        "As you see your own hands, or as a class sees a teacher's.",
        Group.SEE,
    ),
    KeyHint(
        (Action.HAND,), lambda state, display: display.upper_hand.value, "The hand nearer to the mouth.", Group.SEE
    ),
    *PAGE_KEYS,
)
STAFF_KEY: KeyHint[object] = KeyHint(
    (Action.NOTATION,),
    lambda state, display: display.notation.value,
    "The tune on a staff above the lanes, where it has room.",
    Group.SEE,
)
AS_NEW_KEY: KeyHint[object] = KeyHint(
    (Action.AS_NEW,), lambda state, display: "all as new", "Puts every setting back to what it was at first.", Group.SEE
)


def leave_key(words: str) -> KeyHint[object]:
    """The key that goes one level back; `words` say where to."""
    return KeyHint((Action.LEAVE,), lambda state, display: words, "Goes one level back.", Group.SEE)
