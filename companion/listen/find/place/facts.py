"""What happened in a take, one thing after another, as the settled alignment tells it: nothing is judged yet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from companion.listen.find.extra.slips import SlipHeard
from companion.listen.find.gracenotes.group import GroupHeard
from companion.listen.model.segments import Segment
from companion.schedule.events import Event
from fingering.notes import Note


@dataclass(frozen=True, slots=True)
class NoteSounded:
    """A note was heard, whatever it was."""


@dataclass(frozen=True, slots=True)
class Stopped:
    """The sound stopped long enough to be told, before `segment`.

    played: the played note before which it stopped; None where that is no fault: before the first note, where a rest
    was due, and where the learner went on elsewhere in the tune.
    """

    segment: Segment
    played: int | None


@dataclass(frozen=True, slots=True)
class BegunElsewhere:
    """The take begins in the middle of the tune, or the tune is played once more after its end."""


@dataclass(frozen=True, slots=True)
class BegunAgain:
    """The learner went back from token `left` and was heard at `token`, in `segment`.

    history: the notes heard before it, the latest last; some of them may have belonged to the new beginning.
    """

    segment: Segment
    left: int
    token: int
    history: tuple[Segment, ...]


@dataclass(frozen=True, slots=True)
class NoteAgain:
    """The learner played one note, `played`, and then the same one again, from `segment` on."""

    segment: Segment
    played: int


@dataclass(frozen=True, slots=True)
class Skipped:
    """The learner left out what lies between token `left` and `token`, which was heard in `segment`."""

    segment: Segment
    left: int
    token: int


@dataclass(frozen=True, slots=True)
class NoteMissed:
    """A melody note was left out; `at_s` is where it would have been heard at the latest.

    held: the note before it, if that was held on through its time.
    """

    event: Event
    at_s: float
    held: Note | None = None


@dataclass(frozen=True, slots=True)
class WrongAfterGracenote:
    """A melody note of which only its own last gracenote was heard, which sounds like it, and another for the note
    itself."""

    event: Event
    segment: Segment


class Between(NamedTuple):
    """What was heard between two asked notes, of which `played` is the later one.

    slips: what the extra notes were. extra_count: how many they are, those too short to be told included. is_movement:
    whether the fingers moved from one note as asked to the next, so that a crossing could have been heard.
    """

    played: int
    slips: tuple[SlipHeard, ...]
    extra_count: int
    is_movement: bool


@dataclass(frozen=True, slots=True)
class AfterLast:
    """What extra notes were that followed the last asked note, `played`, of a take."""

    played: int
    slips: tuple[SlipHeard, ...]


class MelodyHeard(NamedTuple):
    """A melody note was heard in `segment`, and the gracenotes before it, `group`.

    begins: whether the segment began with it; otherwise an equal note was held on over it. apart: whether what came
    before tells nothing about when it was due. due_s: when its first gracenote was due, where it did not begin.
    """

    event: Event
    segment: Segment
    group: GroupHeard
    begins: bool
    apart: bool
    due_s: float | None = None


Fact = (
    NoteSounded
    | Stopped
    | BegunElsewhere
    | BegunAgain
    | NoteAgain
    | Skipped
    | NoteMissed
    | WrongAfterGracenote
    | Between
    | AfterLast
    | MelodyHeard
)
