"""What went well, and what could not be judged. All shares are choices, no source."""

from __future__ import annotations

from dataclasses import replace

import pytest

from companion.listen.model.findings import FindingKind
from companion.listen.model.tally import Tally
from companion.listen.verdict.matter.drills import drill_for
from companion.listen.verdict.matter.evidence import Matter, Share
from companion.listen.verdict.not_judged import not_judged
from companion.listen.verdict.praise import went_well
from tests.companion.listen.playing import asked_of
from tests.companion.listen.verdict.found import evidence, finding, tally_of, tempo

PLAIN = asked_of("A2B2c2d2|e2f2e2d2|")
DOUBLINGS = asked_of("{gBd}B2A2{gcd}c2A2|{gde}d2A2{gAG}A2d2|")
POINTED = asked_of("c2d2e2f2|e>de>d c2e2|")


def said(tally: Tally) -> list[str]:
    """Of a take of plain notes."""
    return went_well(evidence(PLAIN, [], tally=tally), [])


@pytest.mark.parametrize(
    ("right", "words"),
    [
        (100, ["Every melody note was right."]),
        (95, ["The melody is known: 95 of 100 notes were right."]),
        (94, ["You kept at it, and that is how a tune is learnt."]),
        (0, ["You kept at it, and that is how a tune is learnt."]),
    ],
)
def test_nineteen_notes_in_twenty_are_praised(right: int, words: list[str]) -> None:
    """Below that a sentence of encouragement is said instead."""
    assert said(Tally(notes=100, notes_right=right)) == words


@pytest.mark.parametrize(
    ("right", "of", "word"),
    [
        (40, 40, "Every gracenote was there, all 40."),
        (1, 1, "The gracenote was there."),
        (2, 2, "Every gracenote was there, all 2."),
        (38, 40, "The gracenotes are there: 38 of 40."),
        (37, 40, None),
    ],
)
def test_so_are_gracenotes(right: int, of: int, word: str | None) -> None:
    """One alone is not counted."""
    tally = Tally(notes=100, gracenotes=of, gracenotes_right=right)
    assert said(tally) == [word or "You kept at it, and that is how a tune is learnt."]


@pytest.mark.parametrize(
    ("clean", "word"),
    [
        (40, "The fingers moved together: no crossing noise was heard."),
        (38, "The fingers move together: 38 of 40 movements were clean."),
        (37, "You kept at it, and that is how a tune is learnt."),
    ],
)
def test_so_are_movements(clean: int, word: str) -> None:
    """Without a noise, or nearly so."""
    assert said(Tally(notes=100, movements=40, movements_clean=clean)) == [word]


def test_what_was_not_asked_for_is_not_praised() -> None:
    """No gracenotes, no movements, no notes."""
    assert Share(0, 0).share == 1.0
    assert Share(1, 4).share == 0.25
    assert not any("gracenote" in each or "fingers" in each for each in said(Tally(notes=2, notes_right=2)))


def test_doublings_without_a_fault_are_praised_from_two_on() -> None:
    """One bad one spoils its family; those of no name are not counted."""
    places = [0, 2, 4]
    onsets_s = DOUBLINGS.schedule.note_onsets_s

    def good(count: int, faulty: int | None = None) -> list[str]:
        tally = Tally(notes=100, places=tuple((played, onsets_s[played]) for played in places[:count]))
        found = [] if faulty is None else [finding(DOUBLINGS, FindingKind.UNEVEN, faulty)]
        return went_well(evidence(DOUBLINGS, found, tally=tally), [])

    assert good(3) == ["All 3 doublings were good."]
    assert good(2) == ["Both doublings were good."]
    assert "doubling" not in good(1)[0]
    assert "doubling" not in good(3, faulty=4)[0]
    assert good(3, faulty=1) == ["All 3 doublings were good."]


def test_pointing_is_praised_from_two_pairs_on() -> None:
    """Unless one of them was too even."""
    word = "Long notes were long and short notes short."
    one, two = Tally(places=((4, 4.0),)), Tally(places=((4, 4.0), (6, 5.0)))
    assert word in went_well(evidence(POINTED, [], tally=two), [])
    assert word not in went_well(evidence(POINTED, [], tally=one), [])
    even = finding(POINTED, FindingKind.POINTING, 4)
    assert word not in went_well(evidence(POINTED, [even], tally=two), [])


@pytest.mark.parametrize(("metronome_bpm", "word"), [(None, "The tempo was steady."), (60.0, "You stayed with the")])
def test_a_steady_tempo_is_praised(metronome_bpm: float | None, word: str) -> None:
    """Against a metronome only if no note was off it; a wandering one never."""
    late = finding(PLAIN, FindingKind.LATE, 3, 60.0)
    told = evidence(PLAIN, [], pace=tempo(60.0, 59.0, 61.0), metronome_bpm=metronome_bpm)
    off = Matter((late,), drill_for(PLAIN, [late]), late.text)
    assert any(each.startswith(word) for each in went_well(told, []))
    assert any(each.startswith(word) for each in went_well(told, [off])) is (metronome_bpm is None)
    wild = evidence(PLAIN, [], pace=tempo(60.0, 50.0, 61.0), metronome_bpm=metronome_bpm)
    assert not any(each.startswith(word) for each in went_well(wild, []))
    assert not any(each.startswith(word) for each in went_well(evidence(PLAIN, []), []))


def test_what_could_not_be_judged_says_why() -> None:
    """No gracenotes written, bars skipped, bars not reached; rests are not missed."""
    assert list(not_judged(evidence(PLAIN, []))) == ["Gracenotes: the tune as it is written here has none."]
    tally = tally_of(DOUBLINGS)
    assert list(not_judged(evidence(DOUBLINGS, [], tally=tally))) == []
    skipped = replace(tally, skipped_bars=(2,))
    assert list(not_judged(evidence(DOUBLINGS, [], tally=skipped))) == ["Bar 2: skipped, in whole or in part."]
    for places, said_of_it in (
        ([(1, 1.0)], ["From bar 2 on: the take ends before it."]),
        ([(5, 1.0)], ["What comes before bar 2: the take begins there."]),
        ([(1, 1.0), (5, 2.0)], []),
        ([], []),
    ):
        assert list(not_judged(evidence(DOUBLINGS, [], tally=Tally(places=tuple(places))))) == said_of_it
