"""The keys, shown where they can be read and clicked. Each says what it does and what is set."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from companion.schedule.spans import Extent
from companion.schedule.timing import Gracing
from companion.sound.settings import Voice
from companion.window.actions import Action
from companion.window.display import Display, Print
from companion.window.layout import footer_row_height
from companion.window.marks import Anchor, Frame, Label, Mark, Measure, Rect, Role, Style, Target
from companion.window.play_state import PlayState


@dataclass(frozen=True, slots=True)
class KeyHint:
    """One or two keys (what is printed on them, what they ask for) and the words beside them."""

    keys: tuple[tuple[str, Action], ...]
    words: Callable[[PlayState, Display], str]


def _level(level: float) -> str:
    return "off" if level <= 0 else "soft" if level <= 0.25 else "medium" if level <= 0.5 else "full"


def _slowness(slow_down: float) -> str:
    return f"{slow_down:g}× slower" if slow_down > 1 else "full speed"


_EXTENTS = {
    Extent.NOTHING: "no repeat",
    Extent.EMBELLISHMENT: "repeat embellishment",
    Extent.BAR: "repeat bar",
    Extent.PHRASE: "repeat phrase",
    Extent.PART: "repeat part",
    Extent.TUNE: "repeat tune",
}
_GRACINGS = {Gracing.STRETCH: "gracenotes too", Gracing.CRISP: "gracenotes crisp"}
_VOICES = {Voice.PRACTICE: "practice chanter", Voice.PIPE: "pipe chanter"}

PLAYING_KEYS = (
    KeyHint((("space", Action.PLAY),), lambda state, display: "pause" if state.playing else "play"),
    KeyHint((("←", Action.BACK), ("→", Action.ON)), lambda state, display: "one movement"),
    KeyHint(((",", Action.PHRASE_BACK), (".", Action.PHRASE_ON)), lambda state, display: "phrase"),
    KeyHint((("L", Action.REPEAT),), lambda state, display: _EXTENTS[state.extent]),
    KeyHint((("–", Action.SLOWER), ("+", Action.FASTER)), lambda state, display: _slowness(state.timing.slow_down)),
    KeyHint((("G", Action.GRACING),), lambda state, display: _GRACINGS[state.timing.gracing]),
    KeyHint(
        (("↓", Action.TEMPO_DOWN), ("↑", Action.TEMPO_UP)),
        lambda state, display: f"{state.beats_per_minute:g} a minute",
    ),
)
SOUND_KEYS = (
    KeyHint((("V", Action.VOICE),), lambda state, display: _VOICES[state.sound.voice]),
    KeyHint((("C", Action.CHANTER),), lambda state, display: f"chanter {_level(state.sound.chanter_level)}"),
    KeyHint((("D", Action.DRONES),), lambda state, display: f"drones {_level(state.sound.drones_level)}"),
    KeyHint((("M", Action.METRONOME),), lambda state, display: f"metronome {_level(state.sound.metronome_level)}"),
    KeyHint(
        (("[", Action.PITCH_DOWN), ("]", Action.PITCH_UP)), lambda state, display: f"low A {state.sound.low_a_hz:g} Hz"
    ),
)
VIEW_KEYS = (
    KeyHint((("S", Action.VIEWPOINT),), lambda state, display: display.viewpoint.value),
    KeyHint((("H", Action.HAND),), lambda state, display: display.upper_hand.value),
    KeyHint((("T", Action.THEME),), lambda state, display: display.theme.name),
    KeyHint((("B", Action.BIG_PRINT),), lambda state, display: "big print"),
    KeyHint((("F", Action.FULL_SCREEN),), lambda state, display: "full screen"),
    KeyHint((("O", Action.TUNES),), lambda state, display: "tunes"),
    KeyHint((("Esc", Action.LEAVE),), lambda state, display: "leave"),
)
MORE_KEYS = (KeyHint((("K", Action.KEYS),), lambda state, display: "fewer keys" if display.all_keys else "all keys"),)


ALL_KEYS = PLAYING_KEYS + SOUND_KEYS + VIEW_KEYS + MORE_KEYS


def hints_for(display: Display) -> tuple[KeyHint, ...]:
    """All keys; in big print the playing keys and the one that shows the rest, so that the chanter keeps its room."""
    if display.print is Print.NORMAL:
        return PLAYING_KEYS + SOUND_KEYS + VIEW_KEYS
    return ALL_KEYS if display.all_keys else PLAYING_KEYS + MORE_KEYS


@dataclass(frozen=True, slots=True)
class _Placed:
    hint: KeyHint
    words: str
    x: float
    row: int


def _cap_width(text: str, measure: Measure) -> float:
    return max(measure.width(text, Style.STRONG) + measure.height(Style.TEXT) * 0.55, footer_row_height(measure))


def _hint_width(hint: KeyHint, words: str, measure: Measure) -> float:
    gap = measure.height(Style.TEXT) * 0.3
    return sum(_cap_width(text, measure) + gap for text, _ in hint.keys) + measure.width(words, Style.TEXT)


def _flow(state: PlayState, display: Display, width: float, measure: Measure) -> Iterator[_Placed]:
    space = measure.height(Style.TEXT) * 0.9
    x, row = 0.0, 0
    for hint in hints_for(display):
        words = hint.words(state, display)
        taken = _hint_width(hint, words, measure)
        if x > 0 and x + taken > width:
            x, row = 0.0, row + 1
        yield _Placed(hint, words, x, row)
        x += taken + space


def footer_rows(state: PlayState, display: Display, width: float, measure: Measure) -> int:
    """How many rows the keys take in that width."""
    return max((placed.row for placed in _flow(state, display, width, measure)), default=0) + 1


def footer_marks(state: PlayState, display: Display, area: Rect, measure: Measure) -> tuple[list[Mark], list[Target]]:
    """The keys as marks and as targets; a click on the words does what the last key beside them does."""
    marks: list[Mark] = []
    targets: list[Target] = []
    for placed in _flow(state, display, area.width, measure):
        y = area.y + placed.row * footer_row_height(measure)
        _add_hint(placed, area.x + placed.x, y, measure, marks, targets)
    return marks, targets


def _add_hint(placed: _Placed, x: float, y: float, measure: Measure, marks: list[Mark], targets: list[Target]) -> None:
    row = footer_row_height(measure)
    gap = measure.height(Style.TEXT) * 0.3
    actions = [action for _, action in placed.hint.keys]
    wheel = (actions[0], actions[1]) if len(actions) == 2 else None
    for text, action in placed.hint.keys:
        width = _cap_width(text, measure)
        cap = Rect(x, y + 2, width, row - 5)
        marks.append(Frame(cap, Role.PAST, width=1.2, radius=5))
        marks.append(Label(x + width / 2, cap.y + cap.height / 2, text, Style.STRONG, Role.INK, Anchor.CENTRE))
        targets.append(Target(Rect(x, y, width, row), action, wheel))
        x += width + gap
    marks.append(Label(x, y + 2 + (row - 5) / 2, placed.words, Style.TEXT, Role.QUIET))
    words = Rect(x, y, max(24.0, measure.width(placed.words, Style.TEXT)), row)
    targets.append(Target(words, actions[-1], wheel))
