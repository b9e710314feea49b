"""What a teacher would say: grouped, ordered, with drills; two dozen takes as golden texts, looked at by people.

After a change that is meant, write them anew: ``python3 -m tests.companion.listen.verdict.test_verdict``.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

from companion.listen.judgement import Judgement, judge, judgement_to_data
from companion.listen.model.findings import FindingKind
from companion.listen.model.played import Sounded
from companion.listen.report.class_table import Result, table_text
from companion.listen.report.text import clock_words, verdict_text
from fingering.notes import Note
from tests.companion.listen.playing import FOUR_BARS, asked_of, index_of, played_as, tune_of, with_note
from tests.companion.listen.verdict.takes import TAKES, judged

GOLDEN = Path(__file__).parent / "golden"


@pytest.mark.parametrize("name", TAKES)
def test_the_verdict_reads_as_it_did(name: str) -> None:
    """Word for word."""
    assert f"{verdict_text(judged(name))}\n" == (GOLDEN / f"{name}.txt").read_text(encoding="utf-8")


def faulty(times: int) -> Judgement:
    """A take with the same crossing so many times and one wrong note."""
    music = "d2e2d2e2|" * times + "c2B2A2B2|c2d2c2B2|"
    asked = asked_of(music)
    events: Sequence[Sounded] = played_as(asked)
    for bar in range(times):
        at_s = events[0].at_s + asked.schedule.events[4 * bar + 1].start_s
        events = with_note(list(events), at_s - 0.03, Note.LOW_A, 0.03)
    last = index_of(asked, len(asked.schedule.played) - 2)
    at_s = played_as(asked)[last].at_s
    return judge(tune_of(music), [Sounded(each.at_s, Note.HIGH_G) if each.at_s == at_s else each for each in events])


def test_the_same_crossing_five_times_is_one_thing_to_learn() -> None:
    """Grouped by its cause, and first, since it is a habit."""
    verdict = faulty(5).verdict
    assert (verdict.first[0].kind, verdict.first[0].count) == (FindingKind.CROSSING, 5)
    assert verdict.first[1].kind is FindingKind.WRONG_NOTE
    assert "Upper ring finger up first" in verdict.first[0].drill.text


def test_a_drill_points_at_its_place() -> None:
    """The note and the one before it, slowed."""
    drill = faulty(2).verdict.first[0].drill
    assert (drill.first, drill.last) == (0, 1)
    assert drill.slow_down > 1.0


def test_at_most_three_things_come_first() -> None:
    """More at once are none."""
    for name in TAKES:
        assert len(judged(name).verdict.first) <= 3


@pytest.mark.same_everywhere
def test_something_always_went_well() -> None:
    """No verdict is a bare number: each has a sentence of praise."""
    for name in TAKES:
        assert judged(name).verdict.went_well


def test_tempo_is_in_crotchets_a_minute() -> None:
    """A take of a tune written at 60, played 1.5 times slower, is at 40."""
    data = judgement_to_data(judge(tune_of(FOUR_BARS), played_as(asked_of(FOUR_BARS), 1.5)))
    assert abs(data["tempo"] - 40.0) < 0.2
    assert data["findings"] == []
    assert data["summary"]["notes"]["right"] == data["summary"]["notes"]["of"]


@pytest.mark.same_everywhere
def test_several_takes_make_a_table() -> None:
    """A line each under a heading."""
    table = table_text([Result(name, judged(name)) for name in TAKES]).splitlines()
    assert len(table) == 1 + len(TAKES)
    assert table[1].startswith("faultless")


def test_clock_words() -> None:
    """Minutes, seconds, hundredths."""
    assert [clock_words(at_s) for at_s in (0.0, 65.2, 59.999)] == ["0:00.00", "1:05.20", "1:00.00"]


if __name__ == "__main__":
    GOLDEN.mkdir(exist_ok=True)
    for each in TAKES:
        (GOLDEN / f"{each}.txt").write_text(f"{verdict_text(judged(each))}\n", encoding="utf-8")
