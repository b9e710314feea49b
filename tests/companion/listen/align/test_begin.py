"""Where a take begins and goes on: anywhere in the tune, and from its end to its beginning."""

from __future__ import annotations

import pytest

from companion.commands.shared.library import open_book
from companion.listen.model.asked import Asked, ask
from companion.listen.model.findings import FindingKind
from companion.listen.model.played import Sounded
from companion.schedule.build import build_schedule
from companion.schedule.events import EventKind
from companion.schedule.timing import Timing
from companion.score.bundled import bundled_files
from tests.companion.listen.playing import FOUR_BARS, asked_of, heard, kinds

pytestmark = pytest.mark.same_everywhere

OURS = [str(file) for file in bundled_files() if file.stem != "drills"]


def asked_in(path: str) -> Asked:
    """The first tune of a book."""
    return ask(build_schedule(open_book(path).tunes[0], Timing()))


def told(asked: Asked, from_s: float, start_s: float = 1.0) -> list[Sounded]:
    """What is asked from a moment on, rests included."""
    events = [event for event in asked.schedule.events if event.start_s >= from_s]
    return [
        Sounded(start_s + event.start_s - from_s, None if event.kind is EventKind.REST else event.note)
        for event in events
    ]


@pytest.mark.parametrize("path", OURS)
@pytest.mark.parametrize("share", [0.2, 0.4, 0.5, 0.7])
def test_a_take_may_begin_at_any_bar(path: str, share: float) -> None:
    """A faultless one draws hardly a finding, and none where the bars that follow are not those of another place."""
    asked = asked_in(path)
    bar = asked.bar_starts[int(share * len(asked.bar_starts))]
    from_s = asked.schedule.events[asked.tokens[bar].first].start_s
    assert len(heard(asked, told(asked, from_s))) <= 8


@pytest.mark.parametrize("path", OURS)
def test_a_tune_may_be_played_again(path: str) -> None:
    """From its end to its beginning; that is not beginning again."""
    asked = asked_in(path)
    take = told(asked, 0.0) + told(asked, 0.0, 1.0 + asked.schedule.duration_s)
    assert kinds(heard(asked, take)) == []


@pytest.mark.parametrize("path", OURS)
def test_who_plays_no_gracenotes_is_heard_to_play_none(path: str) -> None:
    """Hardly anything else is said of such a take, though equal notes that only a gracenote parts become one."""
    asked = asked_in(path)
    melody = [event for event in asked.schedule.events if event.kind is not EventKind.GRACENOTE]
    take = [Sounded(1.0 + event.start_s, None if event.kind is EventKind.REST else event.note) for event in melody]
    others = [kind for kind in kinds(heard(asked, take)) if kind is not FindingKind.MISSING_GRACENOTE]
    assert len(others) <= 0.05 * len(asked.schedule.played)


def test_a_gracenote_that_a_wrong_note_made_audible_is_no_extra_one() -> None:
    """Low A swallows the low A that begins a taorluath's like; B in its place does not."""
    asked = asked_of("c2d2{g}e2A2|{AdA}c2d2{g}e2d2|" + FOUR_BARS)
    take = told(asked, 0.0)
    rank = next(rank for rank, event in enumerate(asked.schedule.events) if event.played == 3)
    take[rank] = Sounded(take[rank].at_s, type(take[rank].note)["B"])  # type: ignore[index]
    assert kinds(heard(asked, take)) == [FindingKind.WRONG_NOTE]
