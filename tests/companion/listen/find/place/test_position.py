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


def test_of_a_note_and_an_equal_gracenote_after_it_the_gracenote_alone_may_be_heard() -> None:
    """Then the note was left out, and its time with it; where both are heard as one, however short, nothing is said."""
    asked = asked_of("A2{g}B2{d}c2d2|e2f2a2{a}g2|{g}c2d2e2{d}A2|" * 2)
    take, onset = played_as(asked), index_of(asked, 7)
    moved_s = take[index_of(asked, 8, 0)].at_s - take[onset].at_s
    without = [*take[:onset], *(Sounded(each.at_s - moved_s, each.note) for each in take[onset + 1 :])]
    told = [(each.kind, each.played) for each in heard(asked, without)]
    assert told[0] == (FindingKind.MISSING_NOTE, 7)
    assert all(kind is not FindingKind.MISSING_GRACENOTE for kind, _ in told)
    assert heard(asked, take) == []


@pytest.mark.parametrize(
    "music", ["A2{g}B2c2d2|e2f2{d}g2a2|c2{g}B2A2B2|c2d2e4|", "A2G2{g}B2G2|{GdGe}e2f2g2a2|c2B2A2B2|"]
)
def test_the_bar_in_hand_is_begun_again_after_two_of_its_notes(music: str) -> None:
    """What sounds then is the bar, and no note too many; a gracenote that the note before swallowed sounds now."""
    asked = asked_of(music)
    first, left = index_of(asked, 4), index_of(asked, 6)
    take = played_as(asked)
    bar = [each for each in asked.schedule.events if each.played == 4]
    begins = first + 1 - len(bar)
    later_s = take[left].at_s - take[begins].at_s
    again = [*take[:left], *(Sounded(each.at_s + later_s, each.note) for each in take[begins:])]
    (found,) = heard(asked, again)
    assert (found.kind, found.played, found.bar) == (FindingKind.RESTART, 4, 2)
