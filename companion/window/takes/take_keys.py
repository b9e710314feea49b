"""The keys of a take in review: a few at its foot, and the buttons that stand where the sentence stands."""

from __future__ import annotations

from companion.files.lines import one_line
from companion.listen.verdict.verdict import Matter
from companion.window.core.actions import Action
from companion.window.core.caps import CAPS
from companion.window.core.display import Display, Print
from companion.window.core.hints import Group, Hint, KeyHint, KeyTable, of_use, said
from companion.window.core.look_keys import LOOK_KEYS, MORE_KEY, STAFF_KEY, STEP_KEYS
from companion.window.play.play_keys import slowness
from companion.window.takes.buttons import Button
from companion.window.takes.take_moves import chosen_changes
from companion.window.takes.take_state import Lighting, Round, SoundedSide, TakeState
from fingering.notes import Note

PLAY_KEY: KeyHint[TakeState] = KeyHint(
    (Action.PLAY,),
    lambda state, display: "pause" if state.playing else "play",
    "Plays, or pauses.",
    Group.HEAR,
)
MATTER_KEY: KeyHint[TakeState] = KeyHint(
    (Action.TEMPO_DOWN, Action.TEMPO_UP),
    lambda state, display: f"{state.marked + 1} of {len(_matters(state))}" if _matters(state) else "",
    "From one thing to mend to the next.",
    Group.SEE,
)
PLACE_KEY: KeyHint[TakeState] = KeyHint(
    (Action.FINDING_BACK, Action.FINDING_ON),
    lambda state, display: "place" if _places(state) else "",
    "To the place before, or after, where it was heard.",
    Group.SEE,
)
ALL_KEY: KeyHint[TakeState] = KeyHint(
    (Action.ALL_PLACES,),
    lambda state, display: _lighting_words(state, display),
    "Lights every place where something slipped, or what to mend first.",
    Group.SEE,
)
SLOW_KEY: KeyHint[TakeState] = KeyHint(
    (Action.SLOWER, Action.FASTER),
    lambda state, display: slowness(state.slow_down),
    "How slowly time goes by.",
    Group.HEAR,
    ("slower", "faster"),
)
LEAVE_KEY: KeyHint[TakeState] = KeyHint(
    (Action.LEAVE,),
    lambda state, display: "back to the take" if state.loop and display.print is Print.NORMAL else "back",
    "Goes one level back.",
    Group.SEE,
)
TAKE_KEYS: KeyTable[TakeState] = KeyTable(
    foot=(PLAY_KEY, MATTER_KEY, PLACE_KEY, ALL_KEY, MORE_KEY),
    sheet=(
        PLAY_KEY,
        SLOW_KEY,
        KeyHint(
            (Action.HEAR_MINE,),
            lambda state, display: "hear mine" if _is_there(state) else "",
            "Hear what you played there.",
            Group.HEAR,
        ),
        KeyHint(
            (Action.HEAR_RIGHT,),
            lambda state, display: "hear it right" if _is_there(state) else "",
            "Hear how it goes there.",
            Group.HEAR,
        ),
        KeyHint(
            (Action.HEAR_IN_TURN,),
            lambda state, display: "one after the other" if _is_there(state) else "",
            "First what you played there, then how it goes.",
            Group.HEAR,
        ),
        MATTER_KEY,
        PLACE_KEY,
        ALL_KEY,
        STEP_KEYS,
        KeyHint((Action.START,), lambda state, display: "from the start", "Back to where the take begins.", Group.SEE),
        *LOOK_KEYS,
        STAFF_KEY,
        KeyHint(
            (Action.CHOOSE,),
            lambda state, display: enter_says(state),
            "Opens what mends it, or lays the take beside the tune that was played.",
            Group.LEARN,
        ),
        KeyHint(
            (Action.VERDICT,),
            lambda state, display: "all that is said" if state.review and state.review.verdict else "",
            "What a teacher would say.",
            Group.LEARN,
        ),
        KeyHint(
            (Action.OWN_SETTING,),
            lambda state, display: setting_says(state),
            "Notes that you play otherwise on purpose.",
            Group.LEARN,
        ),
        KeyHint(
            (Action.STRICTNESS,),
            lambda state, display: f"{state.strictness.value} teacher" if state.asked else "",
            "A stricter teacher tells smaller slips as well.",
            Group.LEARN,
        ),
        LEAVE_KEY,
        MORE_KEY,
    ),
)


def foot_hints(state: TakeState, display: Display) -> tuple[Hint, ...]:
    """The keys at the foot. Those of the buttons stand beside what is said; while a stretch is heard, how slowly it is
    heard and the way back take the place of what is gone through. What there is nothing for is left out."""
    if state.loop:
        return said((PLAY_KEY, SLOW_KEY, LEAVE_KEY, MORE_KEY), state, display)
    several = state.matter is not None and len(_matters(state)) > 1
    matter = (MATTER_KEY,) if several else ()
    leave = (LEAVE_KEY,) if state.matter is None else ()  # where there is room for it
    return of_use(said((PLAY_KEY, *matter, PLACE_KEY, ALL_KEY, *leave, MORE_KEY), state, display))


def buttons(state: TakeState) -> tuple[Button, ...]:
    """What can be done about what is said: hear it, practise it, say that it is one's own setting."""
    shown: list[Button] = []
    if _is_there(state):
        ours, in_turn = state.sounding is SoundedSide.TAKE, state.round is Round.IN_TURN
        one = state.loop is not None and state.round is Round.ONE
        shown += [
            _button("hear mine", "mine", Action.HEAR_MINE, pressed=one and ours, sounds=in_turn and ours),
            _button("hear it right", "right", Action.HEAR_RIGHT, pressed=one and not ours, sounds=in_turn and not ours),
            _button("one after the other", "in turn", Action.HEAR_IN_TURN, pressed=in_turn),
        ]
    if state.matter is not None:
        words = practise_words(state)
        pressed = state.round is Round.DRILL
        shown.append(_button(words, "practise", Action.CHOOSE, pressed=pressed))
    elif state.review and state.review.rather:
        shown.append(_button(enter_says(state), "lay it beside that tune", Action.CHOOSE))
    if _asks_for_setting(state):
        shown.append(_button(setting_says(state), setting_says(state), Action.OWN_SETTING))
    return tuple(shown)


def _is_there(state: TakeState) -> bool:
    """Whether there is a place to be heard as it was played, and as it goes."""
    return bool(state.lit) and state.asked is not None


def _places(state: TakeState) -> int:
    """In how many places something slipped."""
    return len(state.review.findings) if state.review else 0


def _button(words: str, brief: str, action: Action, *, pressed: bool = False, sounds: bool = False) -> Button:
    return Button(CAPS[action], words, brief, action, pressed, sounds)


def _asks_for_setting(state: TakeState) -> bool:
    """The button stands where the sentence about another setting stands, and where one can be taken back."""
    if state.matter is not None and not state.matter.setting:
        return False
    return bool(setting_says(state))


def enter_says(state: TakeState) -> str:
    """What Enter does: opens what mends the marked thing, or lays the take beside the tune that was clearly played
    instead; "" for nothing."""
    rather = state.review.rather if state.review else None
    if rather:
        return f"lay it beside {one_line(rather.title) or 'that tune'}"
    return practise_words(state) if state.matter else ""


def practise_words(state: TakeState) -> str:
    """What the drill for the marked thing to mend is, in a few words."""
    matter = state.matter
    if matter is None:
        return "practise it"
    detail = matter.findings[0].crossing
    if detail is not None:
        before, after = (Note.from_letter(letter).label for letter in (detail.before, detail.after))
        return f"practise {before} to {after}"
    return "practise it as written" if matter.setting else "practise it slowly"


def _matters(state: TakeState) -> tuple[Matter, ...]:
    return state.review.matters if state.review else ()


def _lighting_words(state: TakeState, display: Display) -> str:
    count = _places(state)
    if state.lighting is Lighting.ALL:
        return "what to mend first"
    if count < 2:
        return "all places" if count else ""
    return f"all {count} places" if display.print is Print.NORMAL else f"all {count}"


def setting_says(state: TakeState) -> str:
    """What there is to say of the learner's setting of the tune: that it is one, or that it is not; "" for nothing."""
    said = chosen_changes(state)
    if said:
        is_one = state.finding is not None and any(each.rank == state.finding.note for each in said)
        return "that is my setting" if is_one else f"my setting: {len(said)} note{'s' if len(said) > 1 else ''}"
    return "ask as written" if state.setting else ""
