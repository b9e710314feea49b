"""The state of a class, and what of it a picture shows."""

from __future__ import annotations

from dataclasses import dataclass, replace

from companion.schedule.count_in import CountIn
from companion.schedule.lanes import Lane
from companion.window.classroom.class_words import Words
from companion.window.classroom.plan import PlanItem
from companion.window.core.display import Display, Print, Viewpoint
from companion.window.live.input import LiveInput
from companion.window.play.play_state import PlayState
from companion.window.staff.staff_line import StaffSource


@dataclass(frozen=True, slots=True)
class ClassState:
    """hidden: whether all but the chanter is. marked: the learner who is marked, None for the first. asked: whether
    the words for that one are shown."""

    hidden: bool = False
    marked: LiveInput | None = None
    asked: bool = False


@dataclass(frozen=True, slots=True)
class LearnerShown:
    """A learner as the picture shows one: the name, the fingers up to now, and whether the instrument is away."""

    name: str
    lanes: tuple[Lane, ...]
    away: bool = False


@dataclass(frozen=True, slots=True)
class ClassShown:
    """All that a picture of the class shows at `now_s` of the tune.

    learners: in the order of their ports; marked: the rank of the marked one, None for none. at_s: the moment on the
    clock of what they play. words: what is said to the marked one, None while nobody asked. count: the count-in that
    goes on. staff: who engraves the tune, None for no staff.
    """

    play: PlayState
    now_s: float
    count: CountIn | None
    items: tuple[PlanItem, ...]
    learners: tuple[LearnerShown, ...]
    at_s: float
    marked: int | None
    words: Words | None
    hidden: bool
    staff: StaffSource | None = None


def projected(display: Display) -> Display:
    """How a class is shown, with the theme and the hands that are set: in big print, seen from in front."""
    return replace(display, print=Print.BIG, viewpoint=Viewpoint.ONLOOKER)
