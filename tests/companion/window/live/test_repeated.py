"""A bar that is repeated is judged as what it is: a bar, round by round, live, afterwards and in the list of takes."""

from __future__ import annotations

from pathlib import Path

import pytest

from companion.listen.judgement import judge
from companion.listen.model.findings import FindingKind
from companion.listen.model.played import Sounded
from companion.midi.takes.hearing import hear_take
from companion.midi.takes.reading import list_takes
from companion.schedule.spans import Extent
from companion.schedule.stretch import Stretch
from companion.score.model import Tune
from companion.window.core.actions import Action, Seek
from fingering.notes import Note
from tests.companion.listen.playing import tune_of
from tests.companion.window.live.listening import ListeningBench

MUSIC = "A2{g}B2c2{d}A2|e2{g}f2e2d2|c2{g}B2A2B2|{g}c2d2e2c2|"
BAR_S = 4.0
ROUND = ((0.0, Note.E), (0.96, Note.HIGH_G), (1.0, Note.F), (2.0, Note.E), (3.0, Note.D))


@pytest.fixture(scope="module")
def tune() -> Tune:
    """Crotchets at 60 a minute."""
    return tune_of(MUSIC)


def rounds(*wrong: int) -> list[Sounded]:
    """Three rounds of the second bar, with a C for the last note in those that are counted as wrong, from 0."""
    return [
        Sounded(BAR_S * rank + at_s + 0.02, Note.C if at_s == 3.0 and rank in wrong else note)
        for rank in range(3)
        for at_s, note in ROUND
    ] + [Sounded(BAR_S * 3 - 0.2, None)]


def repeating(tune: Tune, folder: Path) -> ListeningBench:
    """The second bar is repeated."""
    bench = ListeningBench(tune, folder)
    bench.screen.act(Seek(BAR_S))
    while bench.screen.state.extent is not Extent.BAR:
        bench.screen.act(Action.REPEAT)
    bench.screen.act(Seek(BAR_S))
    return bench


def test_each_round_is_a_take_of_the_bar(tune: Tune, tmp_path: Path) -> None:
    """Five notes are enough for one, since the bar has no more; the wrong note of one round is all that is told."""
    bench = repeating(tune, tmp_path)
    bench.play_on(rounds(1))
    bench.live.ear.wait()
    bench.screen.close()
    found = []
    for take in list_takes(tmp_path).takes:
        heard = hear_take(take.path, tune, None)
        assert heard.terms.stretch == Stretch(4, 8)
        found.append([(each.kind, each.bar) for each in judge(tune, heard.events, terms=heard.terms).findings])
    assert sorted(found, key=len) == [[], [], [(FindingKind.WRONG_NOTE, 2)]]


def test_the_round_before_is_told_while_the_next_one_runs(tune: Tune, tmp_path: Path) -> None:
    bench = repeating(tune, tmp_path)
    bench.play_on(rounds(0, 1, 2))
    ear = bench.live.ear
    ear.wait()
    assert ear.before is not None
    assert ear.before.heard.doubt == ""
    assert [(each.kind, each.played) for each in ear.before.heard.findings] == [(FindingKind.WRONG_NOTE, 7)]


def test_who_comes_a_little_late_into_a_round_or_holds_its_first_note_already_is_right(
    tune: Tune, tmp_path: Path
) -> None:
    """The last note of the round before sounds on for 0.1 s; the first one of the next is held from before it began."""
    late = [Sounded(BAR_S * rank + at_s + 0.1, note) for rank in range(2) for at_s, note in ROUND]
    held = [Sounded(BAR_S * 2 - 0.02, Note.E), *(Sounded(BAR_S * 2 + at_s, note) for at_s, note in ROUND[1:])]
    bench = repeating(tune, tmp_path)
    bench.play_on([*late, *held, Sounded(BAR_S * 3 - 0.2, None)])
    bench.live.ear.wait()
    bench.screen.close()
    for take in list_takes(tmp_path).takes:
        heard = hear_take(take.path, tune, None)
        assert [each.text for each in judge(tune, heard.events, terms=heard.terms).findings] == []
    assert bench.live.ear.before
    assert bench.live.ear.before.heard.findings == ()
