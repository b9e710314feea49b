"""The table of everything that can be wrong in a score: each kind with its name, its severity and what it means.

An error is for music that would be lost or would sound wrong; all else that departs from the standard, or from what can
be played, is a warning, and the tune plays. Names are for programs and stay as they are from version to version.
"""

from __future__ import annotations

import enum
from dataclasses import dataclass

from companion.score.place import Place
from fingering.errors import UserError


class Severity(enum.Enum):
    """ERROR: music is lost or would sound wrong. WARNING: it plays, but the writer should know."""

    ERROR = "error"
    WARNING = "warning"


_E, _W = Severity.ERROR, Severity.WARNING


class ProblemKind(enum.Enum):
    """Every sort of problem: (severity, what it means in one sentence). Its `label` is the name that programs use."""

    # Whole files
    FILE_UNREADABLE = _E, "The file is not there, cannot be opened, or holds nothing."
    NOT_ABC = _E, "The file is something else: another format, a picture, a web page."
    NO_SCORE = _E, "The file is XML, or packed XML, that holds no score."
    XML_BROKEN = _E, "The file is XML that is not well formed, breaks off, or is in an encoding that is not read."
    XML_UNSAFE = _E, "The file is XML that defines entities, nests, or unpacks to more than any score."
    NO_TUNE = _E, "No line of the file begins a tune."
    BOOK_TOO_LARGE = _E, "The file holds more music than is read from one file."
    NOT_UTF_8 = _W, "The file is in an older encoding, which was guessed."
    TEXT_NOT_CLOSED = _W, "A block of text has no end, so that it is read as music."

    MANY_PROBLEMS = _W, "A tune has more problems than are kept, which are counted."

    # Headers
    NO_MUSIC = _E, "A tune has a header but no notes."
    NO_NUMBER = _W, "A tune has no X: field, or one that is no number."
    NO_TITLE = _W, "A tune has no T: field."
    FIELD_ORDER = _W, "Header fields do not follow each other as the standard asks."
    NO_KEY = _W, "A tune has no K: field, so the pipe scale is taken."
    UNKNOWN_KEY = _W, "A K: field names no key, so the pipe scale is taken."
    KEY_SPELLED_ODDLY = _W, "A K: field is written in a way of its own, but its meaning is plain."
    UNKNOWN_METRE = _W, "An M: field names no metre."
    UNKNOWN_UNIT = _W, "An L: field gives no unit note length."
    UNKNOWN_TEMPO = _W, "A Q: field gives no tempo that can be played."
    OLD_TEMPO = _W, "A tempo is written in a form that is tolerated only."
    UNKNOWN_SYMBOL_DEFINITION = _W, "A U: field defines nothing."
    UNKNOWN_MACRO = _W, "An m: field defines no macro."
    MACRO_TOO_LONG = _E, "Macros make a line so long that they are not followed in it."
    UNKNOWN_FIELD = _W, "A field has a letter that the standard does not know."
    FIELD_IN_BODY = _W, "A field of the header stands among the music."
    MUSIC_BESIDE_KEY = _W, "Music stands on the line of the K: field."
    STRAY_HEADER_LINE = _W, "A line of the header is no field."
    TRANSPOSITION_LEFT_OUT = _W, "A transposition asked for in the file would leave the chanter, so it is not followed."

    # Lines
    EMPTY_LINE_IN_TUNE = _W, "An empty line stands within a tune, which goes on after it."
    WORDS_IN_MUSIC = _W, "A line among the music is words, not notes."
    OTHER_VOICE = _W, "A tune has several voices, of which the first is read."
    LEFT_OUT = _E, "A sign stands for music in a way that is not read, so that its music is lost."
    OVERLAY = _W, "A bar has a second voice, which is left out."

    # Notes
    NOTE_OUTSIDE_NINE = _E, "Notes are written that no chanter has."
    LENGTH_UNREADABLE = _E, "A note's length cannot be read."
    LETTER_BENT = _W, "A key's signature does not agree with the chanter, whose own note is played."
    CHORD = _W, "Several notes are written at once, of which the highest is played."
    STRAY_SIGN = _W, "A sign has no meaning where it stands."
    UNKNOWN_SYMBOL = _W, "A letter stands for no note and no decoration."
    STRAY_NUMBER = _W, "A number stands where no note is before it."
    LETTER_NO_NOTE = _E, "A letter with a length stands for no note and no decoration."
    FIELD_NOT_CLOSED = _E, "A field within music is not closed, so what follows in the bar is lost."
    QUOTATION_NOT_CLOSED = _E, "A quotation mark is not closed, so what follows in the bar is lost."
    OLD_DECORATION = _W, "A decoration is written between two plus signs, an old form."
    BANG_LINE_END = _W, "A lone ! ends lines, an old form."
    JUMP_NOT_FOLLOWED = _W, "A mark such as D.S. sends the player elsewhere, which is not followed."

    # Gracenotes
    BRACE_NOT_CLOSED = _E, "A brace of gracenotes is not closed."
    BRACE_NOT_OPENED = _E, "A brace of gracenotes is closed that was not opened."
    GRACENOTE_UNREADABLE = _E, "Something among gracenotes is no note."
    GRACENOTES_WITHOUT_NOTE = _W, "Gracenotes lead onto no note, so they are left out."
    GRACENOTES_BEYOND_MEASURE = _E, "More gracenotes lead onto a note than any embellishment has."
    GRACENOTES_ONTO_REST = _W, "Gracenotes lead onto a rest and are left out."

    # Rhythm and bars
    BAR_TOO_LONG = _W, "A bar lasts longer than its metre."
    BAR_TOO_SHORT = _W, "A bar is shorter than its metre and no other completes it."
    METRE_MISFIT = _W, "Most bars of a tune last something else than its metre, all alike."
    NO_BAR_LINES = _W, "A tune has no bar lines."
    BAR_BEYOND_MEASURE = _E, "A bar is so long that the rest of it is left out."
    TUNE_BEYOND_MEASURE = _E, "A tune is so long that the rest of it is left out."
    REST_BEYOND_MEASURE = _E, "A rest of whole bars is longer than can be played."
    REST_WITHIN_BAR = _W, "A rest of whole bars stands within a bar."
    BROKEN_RHYTHM_ALONE = _W, "A sign of broken rhythm lacks a note beside it."
    BROKEN_RHYTHM_UNEVEN = _W, "A sign of broken rhythm stands between notes of unequal length."
    TUPLET_UNREADABLE = _W, "A tuplet has a number that makes no tuplet."
    TUPLET_UNFINISHED = _W, "A tuplet lacks notes, or another begins within it."
    TIE_DETACHED = _W, "A tie does not touch its first note."
    TIE_ALONE = _W, "A tie joins nothing."

    # Repeats and plans
    REPEAT_NOT_CLOSED = _W, "A repeat begins and does not end."
    REPEAT_OF_NOTHING = _W, "A repeat sign stands before any music."
    ENDING_SPACED = _W, "An ending's number stands apart from its bar line."
    ENDING_IN_WORDS = _W, "An ending is written in words, not with its number."
    ENDING_UNREADABLE = _W, "An ending is numbered as nothing that can be played."
    ENDING_ALONE = _W, "An ending stands where nothing is repeated."
    ENDING_NOT_CLOSED = _W, "An ending lacks the repeat sign at its end."
    ENDING_MISSING = _W, "A repeat has endings, but none for one of its passes."
    PLAN_WITHOUT_PARTS = _W, "P: in a header names no part of the tune, which is played as it is written."
    PLAN_UNREADABLE = _E, "P: in a header is no plan of parts."
    PLAN_PART_MISSING = _E, "P: in a header names a part that is not in the tune."
    PERFORMANCE_TOO_LONG = _E, "Repeats and plan make more bars than can be played."

    # Piping
    REST = _W, "A chanter cannot rest."
    NOTES_NOT_PARTED = _W, "Two equal notes have nothing between them."
    GRACENOTE_OUT_OF_REACH = _W, "A gracenote cannot be played from the note before it."
    GRACENOTE_NOT_HEARD = _W, "A gracenote is the same as its neighbour."
    ODD_EMBELLISHMENT = _W, "An embellishment is spelled as pipers do not spell it there."
    ODD_PART_LENGTH = _W, "A part has an unusual number of bars."

    def __init__(self, severity: Severity, meaning: str) -> None:
        self.severity = severity
        self.meaning = meaning

    __hash__ = object.__hash__  # an enum's own hashes the name, and a book may have a hundred thousand problems

    @property
    def label(self) -> str:
        """The name that programs use: "bar-too-long"."""
        return self.name.lower().replace("_", "-")


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong in a score; `str()` is the one line that people read."""

    place: Place
    kind: ProblemKind
    what: str
    remedy: str

    @property
    def severity(self) -> Severity:
        """The severity of its kind."""
        return self.kind.severity

    def __str__(self) -> str:
        return f"{self.place}: {self.what}; {self.remedy}"

    def as_error(self) -> RefusedScore:
        """This problem as an exception to raise."""
        return RefusedScore(self)


class RefusedScore(UserError):
    """Raised for a file, or a tune, that cannot be played for the reason in `problem`."""

    def __init__(self, problem: Problem) -> None:
        super().__init__(problem.what, problem.remedy, str(problem.place))
        self.problem = problem
