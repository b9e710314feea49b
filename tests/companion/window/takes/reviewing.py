"""How the screens of a take in review are looked at."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache

from companion.listen.model.findings import FindingKind
from companion.midi.maps.note_map import DEFAULT_MAP
from companion.midi.takes.heading import Heading, TuneIdentity, crotchet_s
from companion.midi.takes.reading import Take
from companion.schedule.timing import Timing
from companion.score.model import Tune
from companion.sound.player import SilentPlayer
from companion.window.core.display import Display, Print
from companion.window.core.marks import Picture, Role
from companion.window.core.screen import Canvas
from companion.window.takes.take_screen import TakeScreen
from companion.window.takes.take_state import TakeState, open_take
from tests.companion.listen.verdict.takes import STEADY, TUNE_DRAW
from tests.companion.window import scenes
from tests.companion.window.lettered import lettering_for
from tests.companion.window.players import BEGAN, Clock
from tests.learners.player import simulate
from tests.learners.tunes import make_tune

SIZE = (1280, 720)


def canvas(size: tuple[int, int] = SIZE, print_size: Print = Print.NORMAL) -> Canvas:
    """What pictures are laid out for."""
    display = Display(print=print_size)
    return Canvas(*size, display, lettering_for(size, display))


def faults(picture: Picture, kind: type) -> list[object]:
    """The marks of one kind that say that something was found."""
    return [mark for mark in picture.moving if isinstance(mark, kind) and getattr(mark, "role", None) is Role.FAULT]


def words_of(picture: Picture) -> str:
    """All that is written."""
    return "\n".join(label.text for label in scenes.labels(picture))


KINDS = (FindingKind.CROSSING, FindingKind.MISSING_GRACENOTE, FindingKind.WRONG_NOTE, FindingKind.LONG_GRACENOTE)


@dataclass(frozen=True)
class Slips:
    """How a simulated learner slips: how often, in which draw of chance, in a tune of how many parts."""

    chance: float
    draw: int
    parts: int = 2


FAULTLESS, ONE_SLIP, THREE_SLIPS = Slips(0.015, 2), Slips(0.015, 3), Slips(0.03, 4)
MANY_SLIPS = Slips(0.9, 1, parts=4)
"""Takes in which nothing, one thing, three things and more than 50 were found."""


@cache
def slipping_take(slips: Slips) -> tuple[Tune, Take]:
    """A tune and the take of a learner who slips so."""
    tune = make_tune(TUNE_DRAW, parts=slips.parts)
    learner = replace(STEADY, faults=slips.chance, kinds=KINDS)
    events = tuple(simulate(tune, learner, slips.draw).notes)
    heading = Heading(
        BEGAN,
        "Chanter:Chanter MIDI 1 20:0",
        DEFAULT_MAP,
        TuneIdentity.of(tune),
        Timing(),
        crotchet_s=crotchet_s(tune, Timing()),
    )
    return tune, Take(heading, (), events, events[-1].at_s + 1.0)


def reviewed(slips: Slips, clock: Clock | None = None) -> TakeScreen:
    """The review of such a take, once it is judged. Without a clock it is judged once only, and stands as it opened."""
    if clock is not None:
        return _opened(slips, clock)
    screen, state = _judged_once(slips)
    screen.state = state
    screen._reviewing = None  # one that another test began is not meant for this one
    return screen


@cache
def _judged_once(slips: Slips) -> tuple[TakeScreen, TakeState]:
    screen = _opened(slips, Clock())
    return screen, screen.state


def _opened(slips: Slips, clock: Clock) -> TakeScreen:
    tune, take = slipping_take(slips)
    screen = TakeScreen(open_take(take, (tune,)), SilentPlayer(clock), lambda: None)
    screen.finish_review()
    return screen
