"""A class that plays in at the same time: each is heard as if alone, and each take has its learner's name."""

from __future__ import annotations

from pathlib import Path

import pytest

from companion.listen.model.findings import Finding, FindingKind
from companion.midi.takes.reading import list_takes, read_take
from companion.window.classroom.class_input import Seat, seats_of
from companion.window.live.second_hearing import HeardRun
from tests.companion.window.classroom.class_bench import NAMES, PLAYINGS, ClassBench


def heard(bench: ClassBench) -> dict[str, HeardRun]:
    """What was found of each, heard a second time."""
    found = {}
    for live in bench.room.learners:
        assert live.ear.before is not None
        found[live.learner] = live.ear.before.heard
    return found


def findings_of(run: HeardRun) -> tuple[Finding, ...]:
    """What was found in a run."""
    return run.findings


@pytest.fixture(scope="module")
def whole() -> dict[str, HeardRun]:
    """All four at once."""
    bench = ClassBench()
    bench.play()
    return heard(bench)


@pytest.mark.parametrize("name", NAMES)
def test_each_is_judged_as_if_alone(name: str, whole: dict[str, HeardRun]) -> None:
    """To the last finding and the last word of the verdict."""
    bench = ClassBench([name])
    bench.play()
    alone = heard(bench)[name]
    assert findings_of(whole[name]) == findings_of(alone)
    assert whole[name].verdict == alone.verdict


def test_what_one_plays_is_not_found_in_another(whole: dict[str, HeardRun]) -> None:
    """One plays without a fault, one gracenotes late, one a wrong note, one leaves notes out."""
    assert findings_of(whole["Anna"]) == ()
    assert {each.kind for each in findings_of(whole["Ben"])} == {
        FindingKind.MISSING_GRACENOTE,
        FindingKind.LONG_GRACENOTE,
    }
    assert {each.kind for each in findings_of(whole["Dougal"])} >= {FindingKind.WRONG_NOTE}
    assert findings_of(whole["Cara"])


def test_each_take_is_kept_under_its_learners_name(tmp_path: Path) -> None:
    """In its heading and in the name of its file; what was played on is the port, as ever."""
    bench = ClassBench(folder=tmp_path)
    bench.play()
    bench.room.close()
    takes = {each.heading.learner: read_take(each.path) for each in list_takes(tmp_path).takes}
    assert set(takes) == set(NAMES)
    for name, take in takes.items():
        assert take.heading.source == f"Chanter of {name}"
        assert take.path is not None
        assert take.path.stem.endswith(f" nets {name.casefold()}")
        assert [each.message for each in take.messages] == [each.message for each in PLAYINGS[name]]


def test_nobody_is_sounded_by_the_computer() -> None:
    """A room of electronic chanters would be flooded: in class each sounds by itself, if at all."""
    bench = ClassBench()
    bench.play()
    for live in bench.room.learners:
        assert live.sound.unheard == ""
        assert live.sound._voice is None


def test_two_instruments_of_one_make_have_places_of_their_own() -> None:
    """Their names differ by a passing number alone, which is not kept."""
    seats = seats_of(("Chanter:Chanter MIDI 1 20:0", "Pad:Pad 24:0", "Chanter:Chanter MIDI 1 28:0"))
    assert seats == (
        Seat("Chanter:Chanter MIDI 1 20:0", "Chanter MIDI 1", "Chanter:Chanter MIDI 1"),
        Seat("Pad:Pad 24:0", "Pad", "Pad:Pad"),
        Seat("Chanter:Chanter MIDI 1 28:0", "Chanter MIDI 1 (2)", "Chanter:Chanter MIDI 1 (2)"),
    )
