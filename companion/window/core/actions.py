"""What a user can ask of the window, by key, wheel, pointer or drop: actions, places, a row, letters, a file."""

from __future__ import annotations

import enum
from dataclasses import dataclass


class Action(enum.Enum):
    """An action that needs no number or place."""

    PLAY = "play or pause"
    BACK = "one movement back"
    ON = "one movement on"
    PHRASE_BACK = "to the phrase before"
    PHRASE_ON = "to the next phrase"
    START = "to the start"
    REPEAT = "what is repeated"
    REST = "rest between rounds"
    LADDER = "whether the tempo rises from round to round"
    ECHO = "the tool plays, the learner plays it back"
    SLOWER = "slower"
    FASTER = "faster"
    GRACING = "whether gracenotes slow down too"
    TEMPO_DOWN = "fewer beats a minute"
    TEMPO_UP = "more beats a minute"
    VOICE = "practice chanter or pipe chanter"
    CHANTER = "chanter's level"
    DRONES = "drones' level"
    DRONES_ALONE = "the drones alone"
    CHANTER_ALONE = "the chanter alone"
    METRONOME = "metronome's level"
    PULSE = "what the metronome ticks"
    PITCH_UP = "low A higher"
    PITCH_DOWN = "low A lower"
    VIEWPOINT = "seen by the player or by an onlooker"
    HAND = "which hand is above"
    THEME = "paper or night"
    BIG_PRINT = "big print"
    NOTATION = "the staff above the lanes"
    FULL_SCREEN = "full screen"
    KEYS = "all that can be done here"
    NEXT_GROUP = "the next group of what can be done"
    MOMENTS = "what the picture means, in four short moments"
    AS_NEW = "all settings as they were at first"
    TUNES = "choose a tune"
    CHOOSE = "choose"
    ERASE = "take back the last letter"
    CROSSING = "what lies in this movement"
    TUNE_MAP = "what to drill in this tune"
    MAP = "every change of note"
    FINGER_BACK = "the finger above is held back"
    FINGER_ON = "the finger below is held back"
    LESS_LATE = "less late"
    MORE_LATE = "later"
    FLIP = "clean or with the finger late"
    FIRST_NOTE = "another note to come from"
    SECOND_NOTE = "another note to go to"
    REVERSE = "the way back"
    LESSON = "the lesson of this tune"
    PROGRESS = "what has become of your practice"
    STEP_BACK = "to the step before"
    STEP_ON = "to the next step"
    STEP_EARLIER = "this step earlier in the lesson"
    STEP_LATER = "this step later in the lesson"
    STEP_OUT = "this step out of the lesson"
    STEP_ADD = "what is repeated as a step of the lesson"
    LESSON_SAVE = "save the lesson beside the tune"
    EMBELLISHMENT = "this embellishment alone"
    CATALOGUE = "all embellishments"
    FREE_PLAY = "play freely"
    INSTRUMENT = "choose an instrument"
    CLOSE_MICROPHONE = "close the microphone"
    PLAY_KEYS = "the computer's keys play"
    LIVE_LEVEL = "level of what is played in"
    LIVE_WAY = "clean or quick"
    LEARN_NOTES = "learn an instrument's notes"
    LEARN_HOLES = "learn an instrument's holes"
    TAKES = "takes"
    FINDING_BACK = "to the finding before"
    FINDING_ON = "to the next finding"
    HEAR_MINE = "hear the take around the finding"
    HEAR_RIGHT = "hear what was asked there"
    HEAR_IN_TURN = "hear the take there, then what was asked"
    ALL_PLACES = "all that was found, or the marked thing to mend"
    STRICTNESS = "how strict a teacher"
    FEEDBACK = "when findings are told"
    VERDICT = "what to mend first"
    OWN_SETTING = "whether this is your setting of the tune"
    METRE = "write it down in another metre"
    BEATS_HALF = "write it down with half as many beats a minute"
    BEATS_TWICE = "write it down with twice as many beats a minute"
    TUNE_SAVE = "save the tune that was written down"
    CLASS = "the class"
    HIDE = "hide all but the chanter, or show it again"
    LEAVE = "leave this screen"
    QUIT = "close the window"


@dataclass(frozen=True, slots=True)
class Seek:
    """Move the tune to this moment of the schedule, in seconds."""

    time_s: float


@dataclass(frozen=True, slots=True)
class Pick:
    """Choose the row of that rank (0 is the first) in a list."""

    rank: int


@dataclass(frozen=True, slots=True)
class TurnTo:
    """Turn to the group of that rank (0 is the first) on the sheet of all that can be done."""

    rank: int


@dataclass(frozen=True, slots=True)
class LeadTo:
    """Take in hand the item of that rank (0 is the first) of the list through which a class is led."""

    rank: int


@dataclass(frozen=True, slots=True)
class Ask:
    """On that sheet, ask the screen beneath it for an action."""

    action: Action


@dataclass(frozen=True, slots=True)
class HearAlone:
    """Hear the note or gracenote at this moment of the schedule, in seconds, by itself, once or until it is let go."""

    time_s: float
    repeated: bool = False


@dataclass(frozen=True, slots=True)
class Scrub:
    """Drag the tune to this moment of the schedule, in seconds; it stands still until it is let go."""

    time_s: float


@dataclass(frozen=True, slots=True)
class RepeatBetween:
    """Repeat what lies between two moments of the schedule, in seconds, whichever is the earlier one."""

    one_s: float
    other_s: float


@dataclass(frozen=True, slots=True)
class LetGo:
    """What was held or dragged with the pointer is let go."""


@dataclass(frozen=True, slots=True)
class Typed:
    """Write these letters, on a screen that takes text."""

    text: str


@dataclass(frozen=True, slots=True)
class Drop:
    """Open the file or the folder at `path`, which was dropped on the window."""

    path: str


Intent = Action | Seek | Pick | TurnTo | LeadTo | Ask | HearAlone | Scrub | RepeatBetween | LetGo | Typed | Drop
