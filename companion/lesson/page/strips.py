"""An embellishment's finger movements as a picture for paper: a lane for each finger, a bar while its hole is closed.

Here is decided what stands where; `templates/strip.svg` draws it. Lengths and places are the units of the picture.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from companion.schedule.build import build_schedule
from companion.schedule.events import EventKind, Schedule
from companion.schedule.lanes import finger_lanes
from companion.schedule.timing import Timing
from companion.score.exercise import exercise_of
from fingering.embellishments import Embellishment
from fingering.holes import Finger
from fingering.notes import Note

AROUND_S = 0.08
"""How many seconds of the notes before and after are shown: enough to see which fingers stay."""

GRACENOTE_WIDTH = 44.0
"""The width of a gracenote in the picture: it leaves room for the gracenote's letter, and for a teacher's pencil."""

Box = tuple[float, float, float, float]

LEFT, TOP, LANE, GAP, INSET = 64.0, 20.0, 15.0, 7.0, 3.0


@dataclass(frozen=True, slots=True)
class StripPicture:
    """The picture of one embellishment.

    label: what it shows, for those who do not see it. fingers: their names and where their lanes begin. closed, opened:
    x, y, width and height of each stretch in which a hole is. letters: the notes as ABC letters, and where each sounds
    first; the last is the one that the gracenotes lead onto. edges: where a note follows another.
    """

    label: str
    width: float
    height: float
    fingers: tuple[tuple[str, float], ...]
    closed: tuple[Box, ...]
    opened: tuple[Box, ...]
    letters: tuple[tuple[float, str], ...]
    edges: tuple[float, ...]
    left: float = LEFT
    top: float = TOP
    lane: float = LANE
    inset: float = INSET


def strip_picture(embellishment: Embellishment, before: Note) -> StripPicture:
    """The picture of an embellishment as it comes out of a note, its gracenotes all of one length."""
    schedule = build_schedule(exercise_of(embellishment, before), Timing())
    graces = [event for event in schedule.events if event.played == 1 and event.kind is EventKind.GRACENOTE]
    first_s, last_s = graces[0].start_s - AROUND_S, graces[-1].end_s + AROUND_S
    per_s = GRACENOTE_WIDTH / (graces[0].end_s - graces[0].start_s)

    def x(at_s: float) -> float:
        return LEFT + (at_s - first_s) * per_s

    bottom = _lane_y(Finger.LOWER_LITTLE) + LANE
    onto = (x(graces[-1].end_s), embellishment.onto.letter)
    return StripPicture(
        label=f"{embellishment.full_name} from {before.label}: {embellishment.how_it_is_played}",
        width=x(last_s),
        height=bottom + 18.0,
        fingers=tuple((finger.label, _lane_y(finger)) for finger in Finger),
        closed=tuple(_stretches(schedule, first_s, last_s, per_s, closed=True)),
        opened=tuple(_stretches(schedule, first_s, last_s, per_s, closed=False)),
        letters=((LEFT, before.letter), *((x(event.start_s), event.note.letter) for event in graces), onto),
        edges=(*(x(event.start_s) for event in graces), x(graces[-1].end_s)),
    )


def _lane_y(finger: Finger) -> float:
    return TOP + finger * LANE + (GAP if finger >= Finger.LOWER_INDEX else 0.0)


def _stretches(schedule: Schedule, first_s: float, last_s: float, per_s: float, *, closed: bool) -> Iterator[Box]:
    for lane in finger_lanes(schedule):
        for each in lane.between(first_s, last_s):
            if each.closed is closed:
                start_s, end_s = max(each.start_s, first_s), min(each.end_s, last_s)
                y = _lane_y(lane.finger) + INSET
                yield LEFT + (start_s - first_s) * per_s, y, (end_s - start_s) * per_s, LANE - 2.0 * INSET
