"""The keys of the playing screen, each with words that say what it does and what is set."""

from __future__ import annotations

from companion.schedule.spans import Extent
from companion.schedule.timing import Gracing
from companion.sound.settings import Voice
from companion.window.core.actions import Action
from companion.window.core.display import Display
from companion.window.core.hints import LOOK_KEYS, MORE_KEYS, Hint, KeyHint, hint_marks, hint_rows, said, shown
from companion.window.core.marks import Mark, Measure, Rect, Target
from companion.window.play.play_state import PlayState


def level_word(level: float) -> str:
    """A level, 0 to 1, in words."""
    return "off" if level <= 0 else "soft" if level <= 0.25 else "medium" if level <= 0.5 else "full"


def slowness(slow_down: float) -> str:
    """A slow-down in words."""
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

PLAYING_KEYS: tuple[KeyHint[PlayState], ...] = (
    KeyHint((("space", Action.PLAY),), lambda state, display: "pause" if state.playing else "play"),
    KeyHint((("←", Action.BACK), ("→", Action.ON)), lambda state, display: "one movement"),
    KeyHint(((",", Action.PHRASE_BACK), (".", Action.PHRASE_ON)), lambda state, display: "phrase"),
    KeyHint((("L", Action.REPEAT),), lambda state, display: _EXTENTS[state.extent]),
    KeyHint((("–", Action.SLOWER), ("+", Action.FASTER)), lambda state, display: slowness(state.timing.slow_down)),
    KeyHint((("G", Action.GRACING),), lambda state, display: _GRACINGS[state.timing.gracing]),
    KeyHint(
        (("↓", Action.TEMPO_DOWN), ("↑", Action.TEMPO_UP)),
        lambda state, display: f"{state.beats_per_minute:g} a minute",
    ),
)
SOUND_KEYS: tuple[KeyHint[PlayState], ...] = (
    KeyHint((("V", Action.VOICE),), lambda state, display: _VOICES[state.sound.voice]),
    KeyHint((("C", Action.CHANTER),), lambda state, display: f"chanter {level_word(state.sound.chanter_level)}"),
    KeyHint((("D", Action.DRONES),), lambda state, display: f"drones {level_word(state.sound.drones_level)}"),
    KeyHint((("M", Action.METRONOME),), lambda state, display: f"metronome {level_word(state.sound.metronome_level)}"),
    KeyHint(
        (("[", Action.PITCH_DOWN), ("]", Action.PITCH_UP)), lambda state, display: f"low A {state.sound.low_a_hz:g} Hz"
    ),
)
LIVE_KEYS: tuple[KeyHint[PlayState], ...] = (
    KeyHint((("P", Action.INSTRUMENT),), lambda state, display: "instrument"),
    KeyHint(
        (("I", Action.PLAY_KEYS),), lambda state, display: state.touch.value if state.touch else "play on these keys"
    ),
    KeyHint((("Y", Action.LIVE_LEVEL),), lambda state, display: f"your sound {level_word(state.live.level)}"),
)
EAR_KEYS: tuple[KeyHint[PlayState], ...] = (
    KeyHint((("Q", Action.FEEDBACK),), lambda state, display: state.ear.feedback.value),
    KeyHint((("A", Action.STRICTNESS),), lambda state, display: f"{state.ear.strictness.value} teacher"),
)
PLAY_IN_KEYS: tuple[KeyHint[PlayState], ...] = (
    *LIVE_KEYS,
    KeyHint((("E", Action.FREE_PLAY),), lambda state, display: "free play"),
    KeyHint((("R", Action.TAKES),), lambda state, display: "takes"),
    *EAR_KEYS,
)
VIEW_KEYS: tuple[KeyHint[PlayState], ...] = (
    *LOOK_KEYS,
    KeyHint((("X", Action.CROSSING),), lambda state, display: "crossing"),
    KeyHint((("U", Action.TUNE_MAP),), lambda state, display: "what to drill"),
    KeyHint((("W", Action.MAP),), lambda state, display: "all pairs"),
    KeyHint((("O", Action.TUNES),), lambda state, display: "tunes"),
    KeyHint((("Esc", Action.LEAVE),), lambda state, display: "leave"),
)
OTHER_KEYS = SOUND_KEYS + PLAY_IN_KEYS + VIEW_KEYS
ALL_KEYS = PLAYING_KEYS + OTHER_KEYS + MORE_KEYS


# More rows than this take too much from the chanter; then the playing keys are shown, and the one that shows the rest.
MOST_ROWS = 4
MOST_ROWS_ASKED = 6


def _said(state: PlayState, display: Display, width: float, measure: Measure) -> tuple[Hint, ...]:
    """All keys where there is room, else the playing keys; once all are asked for, all or the others."""
    hints = said(shown(PLAYING_KEYS, OTHER_KEYS, display), state, display)
    if hint_rows(hints, width, measure) <= (MOST_ROWS_ASKED if display.all_keys else MOST_ROWS):
        return hints
    return said([*(OTHER_KEYS if display.all_keys else PLAYING_KEYS), *MORE_KEYS], state, display)


def footer_rows(state: PlayState, display: Display, width: float, measure: Measure) -> int:
    """How many rows the keys take in `width` pixels."""
    return hint_rows(_said(state, display, width, measure), width, measure)


def footer_marks(state: PlayState, display: Display, area: Rect, measure: Measure) -> tuple[list[Mark], list[Target]]:
    """The keys within `area` as marks and as click targets."""
    return hint_marks(_said(state, display, area.width, measure), area, measure)
