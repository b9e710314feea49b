"""Findings of one kind with one remedy, wherever they were made."""

from __future__ import annotations

from dataclasses import replace

from companion.listen.model.findings import FindingKind
from companion.listen.verdict.gather.gathered import long_gracenotes, restarts
from tests.companion.listen.playing import asked_of
from tests.companion.listen.verdict.found import evidence, finding, tally_of

TUNE = asked_of("{g}A2B2{g}c2d2|{g}e2f2{g}e2d2|c2B2{g}A2B2|c2{g}d2e2c2|")


def test_three_long_gracenotes_are_one_thing_to_learn() -> None:
    """Whatever their causes; two are two."""
    long = [finding(TUNE, FindingKind.LONG_GRACENOTE, played, 100.0, cause=str(played)) for played in (0, 2, 4)]
    (only,) = long_gracenotes(evidence(TUNE, long), long)
    assert only.findings == tuple(long)
    assert only.text == "long-gracenote at 0. Three gracenotes in all were too long, in bars 1 and 2."
    assert long_gracenotes(evidence(TUNE, long), long[:2]) == []


def test_where_all_gracenotes_were_slow_that_is_told_and_the_longest_with_it() -> None:
    """One matter, without others too."""
    long = [
        finding(TUNE, FindingKind.LONG_GRACENOTE, played, 100.0 + played, cause=str(played)) for played in (0, 2, 4)
    ]
    slow = replace(long[0], throughout=True)
    (only,) = long_gracenotes(evidence(TUNE, long), [long[1], slow, long[2]])
    assert only.findings == (slow, *long[1:])
    assert only.text == "long-gracenote at 0. The longest lasted 104 ms."
    (alone,) = long_gracenotes(evidence(TUNE, long), [slow])
    assert alone.text == slow.text


def test_two_fresh_starts_are_one_thing_to_learn() -> None:
    """With where the learner broke off, and the drill at the first of these places."""
    again = [finding(TUNE, FindingKind.RESTART, played, cause=str(played)) for played in (4, 8)]
    heard = ((0, 0.0), (6, 1.5), (4, 2.0), (10, 3.5), (8, 4.0))
    told = [replace(each, at_s=at_s) for each, at_s in zip(again, (2.0, 4.0), strict=True)]
    (only,) = restarts(evidence(TUNE, told, tally=replace(tally_of(TUNE), places=heard)), told)
    assert only.text == "You began again twice: you broke off in bars 2 and 3."
    assert only.drill.text.startswith("Play bars 1 to 3 at half speed and do not stop")
    assert restarts(evidence(TUNE, told), told[:1]) == []
