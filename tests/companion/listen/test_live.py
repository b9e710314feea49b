"""Live and from a file: the same findings, as soon as they show."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

import pytest

from companion.listen.find.listener import Listener, listen
from companion.listen.model.asked import Asked, ask
from companion.listen.model.findings import Finding, FindingKind
from companion.listen.model.played import Played
from companion.listen.model.segments import SETTLED_S
from companion.schedule.build import build_schedule
from companion.schedule.timing import Timing
from tests.learners.learner import Learner, Simulated
from tests.learners.player import simulate
from tests.learners.tunes import make_tune

pytestmark = pytest.mark.same_everywhere

TICK_S = 0.01
DRAWS = range(6)


@cache
def take_of(draw: int) -> tuple[Asked, Simulated]:
    """A take with faults and stumbles."""
    tune = make_tune(draw, parts=1)
    learner = Learner(50.0 + 12.0 * draw, faults=0.15, restarts=0.1, stops=0.05)
    return ask(build_schedule(tune, Timing())), simulate(tune, learner, draw)


def heard_live(asked: Asked, events: Sequence[Played]) -> list[tuple[float, Finding]]:
    """Each finding with the moment at which it was told, the clock running in ticks."""
    listener, told, now_s = Listener(asked), [], 0.0
    for event in events:
        while now_s + TICK_S < event.at_s:
            now_s += TICK_S
            told += [(now_s, found) for found in listener.advance(now_s)]
        told += [(event.at_s, found) for found in listener.feed(event)]
    return told + [(events[-1].at_s, found) for found in listener.finish()]


@pytest.mark.parametrize("draw", DRAWS)
@pytest.mark.parametrize("holes", [False, True], ids=["notes", "holes"])
def test_live_and_from_a_file_are_the_same(draw: int, holes: bool) -> None:
    """Whatever the clock does between the events."""
    asked, take = take_of(draw)
    events = take.holes if holes else take.notes
    live = sorted((found for _, found in heard_live(asked, events)), key=lambda found: (found.at_s, found.kind.value))
    assert tuple(live) == listen(events, Listener(asked))


@pytest.mark.parametrize("draw", DRAWS)
def test_a_finding_comes_with_the_event_that_shows_it(draw: int) -> None:
    """It is told when an event comes, or when a note has settled, 150 ms after it began; never later by itself."""
    asked, take = take_of(draw)
    moments = [event.at_s for event in take.notes]
    for told_s, _ in heard_live(asked, take.notes):
        waited_s = min(min(abs(told_s - at_s), abs(told_s - at_s - SETTLED_S)) for at_s in moments)
        assert waited_s <= TICK_S + 1e-9


def test_a_crossing_is_told_while_its_note_sounds() -> None:
    """Where nothing else is amiss: nine in ten within 250 ms of the note that ends the noise."""
    waits = []
    for draw in DRAWS:
        tune = make_tune(draw, parts=1)
        crosser = Learner(50.0 + 12.0 * draw, faults=0.15, kinds=(FindingKind.CROSSING,))
        asked, take = ask(build_schedule(tune, Timing())), simulate(tune, crosser, draw)
        for told_s, found in heard_live(asked, take.notes):
            if found.kind is FindingKind.CROSSING and found.ms is not None:
                waits.append(told_s - found.at_s - found.ms / 1000.0)
    assert len(waits) > 20
    assert sorted(waits)[int(0.9 * len(waits))] <= 0.25
