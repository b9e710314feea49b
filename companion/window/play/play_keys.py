"""The table of keys of the playing screen: words that say what is set, and a sentence on what each is for."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TypeVar

from companion.midi.maps.touch import Touch
from companion.schedule.bars import Ticking
from companion.schedule.spans import Extent
from companion.schedule.timing import Gracing
from companion.sound.settings import Voice
from companion.window.core.actions import Action
from companion.window.core.display import Display
from companion.window.core.hints import Group, KeyHint, KeyTable
from companion.window.core.look_keys import AS_NEW_KEY, LOOK_KEYS, MORE_KEY, STAFF_KEY, STEP_KEYS
from companion.window.play.play_state import PlayState
from companion.window.play.tools.round_settings import ECHO_WORDS, REST_WORDS, ladder_words
from companion.window.play.tools.solo import Solo


def level_word(level: float) -> str:
    """A level, 0 to 1, in words."""
    return "off" if level <= 0 else "soft" if level <= 0.25 else "medium" if level <= 0.5 else "full"


_SPEEDS = {1.0: "full speed", 1.5: "two thirds of the speed", 2.0: "half speed", 4.0: "quarter speed"}


def slowness(slow_down: float) -> str:
    """A slow-down in words."""
    return _SPEEDS.get(slow_down, f"1/{slow_down:g} of the speed")


_EXTENTS = {
    Extent.NOTHING: "no repeat",
    Extent.EMBELLISHMENT: "repeat the embellishment",
    Extent.BAR: "repeat the bar",
    Extent.PHRASE: "repeat the phrase",
    Extent.PART: "repeat the part",
    Extent.TUNE: "repeat the tune",
}
_GRACINGS = {Gracing.STRETCH: "gracenotes slow down too", Gracing.CRISP: "gracenotes stay quick"}
_PULSES = {Ticking.BEATS: "ticks on the beat", Ticking.PARTS: "ticks on the beat and its parts"}
_VOICES = {Voice.PRACTICE: "practice chanter", Voice.PIPE: "pipe chanter"}
TOUCH_WORDS = {Touch.CLOSED: "hold a key to close its hole", Touch.LIFTED: "hold a key to lift its finger"}


PLAY_KEY: KeyHint[PlayState] = KeyHint(
    (Action.PLAY,),
    lambda state, display: "pause" if state.playing else "play",
    "Plays, or pauses.",
    Group.HEAR,
)
SLOW_KEYS: KeyHint[PlayState] = KeyHint(
    (Action.SLOWER, Action.FASTER),
    lambda state, display: slowness(state.timing.slow_down),
    "How slowly time goes by.",
    Group.HEAR,
    ("slower", "faster"),
)
TUNES_KEY: KeyHint[object] = KeyHint(
    (Action.TUNES,), lambda state, display: "tunes", "Another tune, from a list.", Group.LEARN
)
TIME_KEYS: tuple[KeyHint[PlayState], ...] = (
    KeyHint(
        (Action.TEMPO_DOWN, Action.TEMPO_UP),
        lambda state, display: f"{state.beats_per_minute:g} beats a minute",
        "The tempo of the tune before it is slowed down.",
        Group.HEAR,
    ),
    KeyHint(
        (Action.GRACING,),
        lambda state, display: _GRACINGS[state.timing.gracing],
        "Slow gracenotes, to be watched, or quick ones, as they are played.",
        Group.HEAR,
    ),
)


def _solo_key(action: Action, solo: Solo, sentence: str) -> KeyHint[PlayState]:
    """The row of a voice that is heard alone or not."""
    return KeyHint(
        (action,),
        lambda state, display: f"{solo.value} alone {'on' if state.solo is solo else 'off'}",
        sentence,
        Group.HEAR,
    )


SOUND_KEYS: tuple[KeyHint[PlayState], ...] = (
    KeyHint(
        (Action.CHANTER,),
        lambda state, display: f"chanter {level_word(state.sounding.chanter_level)}",
        "How loud the chanter of the tune is.",
        Group.HEAR,
    ),
    KeyHint(
        (Action.DRONES,),
        lambda state, display: f"drones {level_word(state.sounding.drones_level)}",
        "How loud the drones are.",
        Group.HEAR,
    ),
    _solo_key(Action.DRONES_ALONE, Solo.DRONES, "Only the drones of the tune, to play along with, or to tune to."),
    _solo_key(Action.CHANTER_ALONE, Solo.CHANTER, "Only the chanter of the tune, to hear its fingers."),
    KeyHint(
        (Action.VOICE,),
        lambda state, display: _VOICES[state.sound.voice],
        "The softer practice chanter, or the pipes.",
        Group.HEAR,
    ),
    KeyHint(
        (Action.PITCH_DOWN, Action.PITCH_UP),
        lambda state, display: f"low A {state.sound.low_a_hz:g} Hz",
        "The pitch of low A, to match your own chanter.",
        Group.HEAR,
    ),
)
PLACE_KEYS: tuple[KeyHint[PlayState], ...] = (
    KeyHint(
        (Action.PHRASE_BACK, Action.PHRASE_ON),
        lambda state, display: "phrase",
        "To the phrase before, or to the next.",
        Group.PRACTISE,
    ),
    KeyHint((Action.START,), lambda state, display: "from the start", "Back to where the tune begins.", Group.PRACTISE),
)
REPEAT_KEY: KeyHint[PlayState] = KeyHint(
    (Action.REPEAT,),
    lambda state, display: _EXTENTS[state.extent],
    "How much of the tune goes round and round.",
    Group.PRACTISE,
)
ROUND_KEYS: tuple[KeyHint[PlayState], ...] = (
    KeyHint(
        (Action.REST,),
        lambda state, display: REST_WORDS[state.rounds.rest],
        "Between two rounds of what is repeated the pulse goes on alone.",
        Group.PRACTISE,
    ),
    KeyHint(
        (Action.ECHO,),
        lambda state, display: ECHO_WORDS[state.rounds.echo],
        "You hear what is repeated, then play it back in the same time.",
        Group.PRACTISE,
    ),
    KeyHint(
        (Action.LADDER,),
        lambda state, display: ladder_words(state.rounds.ladder),
        "Round by round the tempo rises, up to the tune's own.",
        Group.PRACTISE,
    ),
)
METRONOME_KEYS: tuple[KeyHint[PlayState], ...] = (
    KeyHint(
        (Action.METRONOME,),
        lambda state, display: f"metronome {level_word(state.sound.metronome_level)}",
        "How loud the metronome is; with it on, a bar is counted in.",
        Group.PRACTISE,
    ),
    KeyHint(
        (Action.PULSE,),
        lambda state, display: _PULSES[state.sound.pulse],
        "What the metronome ticks, and which dots stand below the lanes.",
        Group.PRACTISE,
    ),
)
LIVE_KEYS: tuple[KeyHint[PlayState], ...] = (
    KeyHint(
        (Action.INSTRUMENT,),
        lambda state, display: "instrument",
        "Choose the electronic chanter or the microphone that you play on.",
        Group.PLAY,
    ),
    KeyHint(
        (Action.PLAY_KEYS,),
        lambda state, display: TOUCH_WORDS[state.touch] if state.touch else "play on these keys",
        "Eight keys of this computer become the eight holes.",
        Group.PLAY,
    ),
    KeyHint(
        (Action.LIVE_LEVEL,),
        lambda state, display: f"your playing {level_word(state.live.level)}",
        "How loud this computer sounds what you play.",
        Group.PLAY,
    ),
)
EAR_KEYS: tuple[KeyHint[PlayState], ...] = (
    KeyHint(
        (Action.FEEDBACK,),
        lambda state, display: state.ear.feedback.value,
        "When you are told what was heard.",
        Group.PLAY,
    ),
    KeyHint(
        (Action.STRICTNESS,),
        lambda state, display: f"{state.ear.strictness.value} teacher",
        "A stricter teacher tells smaller slips as well.",
        Group.PLAY,
    ),
)
PLAY_IN_KEYS: tuple[KeyHint[PlayState], ...] = (
    *LIVE_KEYS,
    KeyHint((Action.FREE_PLAY,), lambda state, display: "free play", "No tune: see what your fingers do.", Group.PLAY),
    KeyHint(
        (Action.TAKES,),
        lambda state, display: "takes",
        "What you played before: hear it, and what to mend.",
        Group.PLAY,
    ),
    *EAR_KEYS,
)
SLOWER_KEYS: KeyHint[object] = KeyHint(
    (Action.SLOWER, Action.FASTER),
    lambda state, display: "",  # how slow it is stands beside the title
    "How slowly time goes by.",
    Group.HEAR,
    ("slower", "faster"),
)
CATALOGUE_KEY: KeyHint[object] = KeyHint(
    (Action.CATALOGUE,),
    lambda state, display: "embellishments",
    "Every embellishment: how it is played, to be watched and tried alone.",
    Group.LEARN,
)
CROSSING_KEY: KeyHint[object] = KeyHint(
    (Action.CROSSING,),
    lambda state, display: "this change of note",
    "What is heard if a finger is late, here and now.",
    Group.LEARN,
)
LESSON_KEY: KeyHint[object] = KeyHint(
    (Action.LESSON,),
    lambda state, display: "lesson",
    "This tune step by step, from its first new embellishment to the whole by heart.",
    Group.LEARN,
)
LEARN_KEYS: tuple[KeyHint[PlayState], ...] = (
    LESSON_KEY,
    KeyHint(
        (Action.PROGRESS,),
        lambda state, display: "your practice",
        "What has got better from day to day, and what to do today.",
        Group.LEARN,
    ),
    CATALOGUE_KEY,
    KeyHint(
        (Action.EMBELLISHMENT,),
        lambda state, display: "this embellishment",
        "The embellishment that is played here, alone, round and round.",
        Group.LEARN,
    ),
    KeyHint(
        (Action.TUNE_MAP,),
        lambda state, display: "what to drill",
        "The changes of note in this tune that most need practice.",
        Group.LEARN,
    ),
    CROSSING_KEY,
    KeyHint(
        (Action.MAP,),
        lambda state, display: "every change of note",
        "All of them, from any note to any other.",
        Group.LEARN,
    ),
)
CLASS_KEY: KeyHint[object] = KeyHint(
    (Action.CLASS,),
    lambda state, display: "the class",
    "Projected before a roomful of learners, several of whom play in.",
    Group.LEARN,
)
MOMENTS_KEY: KeyHint[object] = KeyHint(
    (Action.MOMENTS,),
    lambda state, display: "what this picture means",
    "Tells what this picture means, in four short moments.",
    Group.LEARN,
)
END_KEY: KeyHint[object] = KeyHint(
    (Action.LEAVE,), lambda state, display: "end", "Ends the program; takes and settings are kept.", Group.SEE
)
PLAY_TABLE: KeyTable[PlayState] = KeyTable(
    foot=(PLAY_KEY, SLOWER_KEYS, LESSON_KEY, CATALOGUE_KEY, TUNES_KEY, MORE_KEY),
    sheet=(
        PLAY_KEY,
        SLOW_KEYS,
        *TIME_KEYS,
        *SOUND_KEYS,
        REPEAT_KEY,
        *ROUND_KEYS,
        *METRONOME_KEYS,
        STEP_KEYS,
        *PLACE_KEYS,
        *LOOK_KEYS,
        STAFF_KEY,
        *PLAY_IN_KEYS,
        TUNES_KEY,
        *LEARN_KEYS,
        CLASS_KEY,
        MOMENTS_KEY,
        AS_NEW_KEY,
        END_KEY,
        MORE_KEY,
    ),
)

Holder = TypeVar("Holder")


def same_keys(
    hints: Iterable[KeyHint[PlayState]], play_of: Callable[[Holder], PlayState]
) -> tuple[KeyHint[Holder], ...]:
    """Keys of the playing screen for another screen; play_of: from its state to that of the tune that plays in it."""
    return tuple(
        KeyHint(hint.actions, _asked_of(hint.words, play_of), hint.sentence, hint.group, hint.beside) for hint in hints
    )


def _asked_of(
    words: Callable[[PlayState, Display], str], play_of: Callable[[Holder], PlayState]
) -> Callable[[Holder, Display], str]:
    return lambda state, display: words(play_of(state), display)
