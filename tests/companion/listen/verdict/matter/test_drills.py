"""What to practise: the thing alone, in its place, slowed. How is common practice, no source."""

from __future__ import annotations

import pytest

from companion.listen.model.findings import FindingKind
from companion.listen.verdict.matter.drills import drill_for
from companion.listen.verdict.matter.evidence import Matter
from companion.listen.verdict.matter.sentences import said_of
from companion.listen.verdict.matters import matters_of
from tests.companion.listen.playing import asked_of
from tests.companion.listen.verdict.found import evidence, finding, tempo

TUNE = asked_of("A2B2c2d2|e2f2e2d2|{g}c2{gBd}B2A2B2|c2d2e2c2|")


@pytest.mark.parametrize(
    "kind", [kind for kind in FindingKind if kind not in (FindingKind.RESTART, FindingKind.CROSSING)]
)
def test_fingers_are_placed_four_times_slower_and_time_is_mended_twice_slower(kind: FindingKind) -> None:
    """The note and the one before it; of a pair that was too even, its second note."""
    in_time = kind.value in ("early", "late", "pointing", "break", "order")
    drill = drill_for(TUNE, [finding(TUNE, kind, 9, 20.0, letters="3:1")])
    assert drill.slow_down == (2.0 if in_time else 4.0)
    assert (drill.first, drill.last) == ((9, 10) if kind is FindingKind.POINTING else (8, 9))
    assert "bar 3" in drill.text


def test_a_drill_stays_within_the_tune() -> None:
    """The first note has none before it, the last none after it."""
    last = len(TUNE.schedule.played) - 1
    assert drill_for(TUNE, [finding(TUNE, FindingKind.LATE, 0, 60.0)]).first == 0
    drill = drill_for(TUNE, [finding(TUNE, FindingKind.POINTING, last, 60.0, letters="3:1")])
    assert (drill.first, drill.last) == (last, last)


def test_the_worst_is_drilled() -> None:
    """Where it was furthest off."""
    found = [finding(TUNE, FindingKind.LATE, played, ms) for played, ms in ((2, 60.0), (13, 90.0), (6, 70.0))]
    assert drill_for(TUNE, found).last == 13


def test_a_stumble_is_mended_in_its_bar_and_those_beside_it() -> None:
    """Where it was stumbled; where that is not known, where it was begun again."""
    restart = finding(TUNE, FindingKind.RESTART, 1)
    drill = drill_for(TUNE, [restart], 9)
    assert (drill.first, drill.last, drill.slow_down) == (4, 15, 2.0)
    assert drill.text.startswith("Play bars 2 to 4 at half speed and do not stop")
    drill = drill_for(TUNE, [restart])
    assert (drill.first, drill.last) == (0, 7)


def test_a_wrong_note_is_sung_and_then_played_with_the_bar_beside_it() -> None:
    """The bar before; of the first bar the one after."""
    assert drill_for(TUNE, [finding(TUNE, FindingKind.WRONG_NOTE, 5)]).text.endswith("then with the bar before it.")
    assert drill_for(TUNE, [finding(TUNE, FindingKind.WRONG_NOTE, 2)]).text.endswith("then with the bar after it.")


def test_an_embellishment_says_how_it_is_played() -> None:
    """In its place, slowly; a note without one has only its place."""
    text = drill_for(TUNE, [finding(TUNE, FindingKind.LONG_GRACENOTE, 9)]).text
    how = TUNE.schedule.embellishments[9]
    assert how is not None
    assert text == f"Play the B doubling four times slower, ten times clean; then in bar 3. {how.how_it_is_played}"
    plain = drill_for(TUNE, [finding(TUNE, FindingKind.LONG_GRACENOTE, 1)]).text
    assert plain == "Play B four times slower, ten times clean; then in bar 1."


def test_pointing_is_drilled_in_the_ratio_asked() -> None:
    """In words."""
    text = drill_for(TUNE, [finding(TUNE, FindingKind.POINTING, 4, 60.0, letters="3:1")]).text
    assert "over and over, 3 to 1 in length" in text


def test_things_to_learn_are_told_once_each_and_the_most_urgent_first() -> None:
    """Slips with one remedy together; what has a cause of its own by itself."""
    wrong = [finding(TUNE, FindingKind.WRONG_NOTE, played, cause=str(played), letters="A") for played in (1, 5, 14)]
    late = [finding(TUNE, FindingKind.LATE, played, 60.0) for played in (3, 7)]
    matters = matters_of(evidence(TUNE, [*late, *wrong]))
    assert [matter.kind for matter in matters] == [FindingKind.WRONG_NOTE, FindingKind.LATE]
    assert [matter.count for matter in matters] == [3, 2]
    assert matters[1] == Matter(tuple(late), drill_for(TUNE, late), said_of(late))


def test_who_plays_slowly_already_is_not_told_to_play_four_times_slower() -> None:
    """Below 45 beats a minute half speed is enough."""
    wrong = [finding(TUNE, FindingKind.WRONG_NOTE, 5, letters="A")]
    for qpm, slow_down, words in ((44.9, 2.0, "at half speed"), (45.0, 4.0, "four times slower")):
        (only,) = matters_of(evidence(TUNE, wrong, pace=tempo(qpm)))
        assert only.drill.slow_down == slow_down
        assert f"then play it {words}, naming each note" in only.drill.text
