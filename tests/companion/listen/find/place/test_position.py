"""Where in the tune a learner is taken to be: played again from its end, stopped, or going on elsewhere."""

from __future__ import annotations

import pytest

from companion.listen.model.findings import FindingKind
from companion.listen.model.played import Sounded
from fingering.notes import Note
from tests.companion.listen.playing import asked_of, delayed, heard, index_of, kinds, leapt, played_as


@pytest.mark.parametrize("music", ["A2B2c2d2|e2f2e4|", "A2{g}B2c2d2|e2f2{g}A4|"])
def test_playing_a_tune_again_is_not_beginning_again(music: str) -> None:
    """Whether its last note swallows the first or not."""
    asked = asked_of(music)
    take = played_as(asked)
    again = [Sounded(event.at_s + take[-1].at_s - take[0].at_s, event.note) for event in take]
    assert heard(asked, [*take[:-1], *again]) == []


def silence_before(music: str, played: int, lasts_s: float = 0.6) -> list[FindingKind]:
    """What is said of a take that stops before that note."""
    asked = asked_of(music)
    take, rank = played_as(asked), index_of(asked, played)
    return kinds(heard(asked, [*take[:rank], Sounded(take[rank].at_s, None), *delayed(take, rank, lasts_s)[rank:]]))


def test_a_stop_is_told_but_for_the_first_note_and_after_a_rest() -> None:
    """Before the first note there is nothing to stop."""
    assert silence_before("A2B2c2d2|e2f2e2d2|c2B2A2B2|", 6) == [FindingKind.BREAK]
    assert silence_before("A2B2c2d2|e2f2e2d2|c2B2A2B2|", 0) == []
    assert silence_before("A2B2c2d2|e2z2e2d2|c2B2A2B2|", 6) == []


def test_who_stops_and_goes_on_elsewhere_is_told_the_second_alone() -> None:
    """Back to the beginning of the bar after a second of silence."""
    asked = asked_of("A2B2c2d2|e2f2g2a2|c2B2A2B2|c2d2e4|")
    bar = asked.bar_starts[1]
    take = leapt(asked, bar + 3, bar)
    rank = asked.tokens[bar + 3].first
    stopped = [*take[:rank], Sounded(take[rank].at_s, None), *delayed(take, rank, 1.0)[rank:]]
    assert kinds(heard(asked, stopped)) == [FindingKind.RESTART]


@pytest.mark.parametrize("lasts_s", [0.04, 0.1])
def test_a_gracenote_like_the_note_before_it_is_asked_for_where_another_note_made_it_heard(lasts_s: float) -> None:
    """D swallows the D gracenote that follows it; after F, which is extra, it is heard and is none of the learner's."""
    asked = asked_of("A2{d}B2c2d2|{d}e2{g}f2{e}e2d2|{d}c2{g}e2{A}B2A2|")
    take, rank = played_as(asked), index_of(asked, 4, 0)
    extra = Sounded(take[rank].at_s - 0.13, Note.F)
    (found,) = heard(asked, [*take[:rank], extra, *delayed(take, rank + 1, lasts_s - 0.04)[rank:]])
    assert (found.kind, found.heard) == (FindingKind.EXTRA_NOTE, "f")
