"""A learner, the faults that a learner makes, and the take that comes of it."""

from __future__ import annotations

import enum
from collections.abc import Sequence
from dataclasses import dataclass, field

from companion.listen.model.findings import FindingKind as Fault
from companion.listen.model.played import Played, Sounded
from companion.score.model import Tune
from fingering.holes import Finger, HoleState
from fingering.notes import Note

GRACENOTE_S = 0.040
GRACENOTE_SPREAD = 0.16
GRACENOTE_RANGE_S = (0.025, 0.060)
"""One gracenote: the median, the log-normal spread, and what no good one leaves. Common practice, no source."""

SLOW_RANGE_S = (0.070, 0.120)
"""The gracenotes of who plays them slowly throughout."""

STUMBLES = (Fault.BREAK, Fault.RESTART)
SLIPS = tuple(kind for kind in Fault if kind not in (*STUMBLES, Fault.ORDER))


class HardSlip(enum.Enum):
    """Slips that are hard to tell from others, spelled as in the table of figures."""

    AS_ITS_GRACENOTE = "wrong note, as its gracenote"
    AS_NOTE_BEFORE = "wrong note, as the note before"
    AS_NOTE_AFTER = "wrong note, as the note after"
    NOTE_AGAIN = "a note again, at once"
    NOTE_AGAIN_AFTER_SILENCE = "a note again, after silence"
    BAR_AGAIN = "a bar again, at once"
    BAR_AGAIN_AFTER_SILENCE = "a bar again, after silence"


Slip = Fault | HardSlip


class Where(enum.Enum):
    """On which melody notes slips are made: never on the first and last three, on the last alone, or on the second of
    two equal ones alone."""

    ANYWHERE = "anywhere"
    LAST_NOTE = "last note"
    SECOND_OF_EQUAL = "second of two equal notes"


@dataclass(frozen=True, slots=True)
class Learner:
    """How a learner plays.

    spread: standard deviation of the intervals between onsets, as a share of them: each onset strays by it over the
    root of two. drift: how far tempo wanders, as a share. faults: the chance of a slip at each melody note, its kind
    drawn evenly from `kinds`. stops, restarts: the chance at each bar of a stop for breath, and of beginning again from
    a bar's beginning. before_beat: whether embellishments end on the beat (None: as pipers do, each family in its way).
    jitter_s: standard deviation of what each onset strays by besides, however long the notes. gracenote_s: the median
    gracenote. leaves_out: the chance of each gracenote to be left out. where: on which notes slips are made.
    """

    beats_per_minute: float
    spread: float = 0.025
    drift: float = 0.06
    faults: float = 0.0
    restarts: float = 0.0
    stops: float = 0.0
    before_beat: bool | None = None
    kinds: tuple[Slip, ...] = SLIPS
    jitter_s: float = 0.0
    gracenote_s: float = GRACENOTE_S
    leaves_out: float = 0.0
    where: Where = Where.ANYWHERE


@dataclass(frozen=True, slots=True)
class Made:
    """A fault as it was made: when, to which played note, and for a crossing by which finger, how many ms late.

    also: kinds that describe what sounded as truly. also_at: played notes to which it could as truly have been made.
    stopped: whether the sound stopped before it, so that it is true to tell that besides.
    """

    kind: Fault
    at_s: float
    played: int
    finger: Finger | None = None
    ms: float | None = None
    also: frozenset[Fault] = frozenset()
    also_at: frozenset[int] = frozenset()
    stopped: bool = False


@dataclass(frozen=True, slots=True)
class Sound:
    """One sounding note of a take, and the silence before it."""

    at_s: float
    note: Note
    state: HoleState
    silence_s: float = 0.0


@dataclass(slots=True)
class Group:
    """A melody note as it is about to be played: its gracenotes and their lengths, when it begins, how long it is."""

    index: int
    note: Note
    length_s: float
    begins_s: float
    graces: list[Note] = field(default_factory=list)
    lengths_s: list[float] = field(default_factory=list)

    @property
    def onset_s(self) -> float:
        """When the melody note itself begins."""
        return self.begins_s + sum(self.lengths_s)

    def grace_at_s(self, rank: int) -> float:
        """When one of the gracenotes begins."""
        return self.begins_s + sum(self.lengths_s[:rank])


@dataclass(frozen=True, slots=True)
class Simulated:
    """A take, told as notes and as hole states, with the faults in it and how many melody notes it has.

    gracenotes_s: the length of each gracenote.
    """

    tune: Tune
    notes: Sequence[Sounded]
    holes: Sequence[Played]
    made: tuple[Made, ...]
    melody_notes: int
    gracenotes_s: tuple[float, ...] = ()
