"""A run of a tune that is over is heard a second time: what that says is what the window shows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pytest

from companion.listen.judgement import judge
from companion.listen.model.asked import ask_for
from companion.listen.model.findings import Finding, FindingKind
from companion.listen.model.played import Sounded
from companion.listen.model.strictness import Strictness
from companion.listen.model.terms import AT_SPEED
from companion.midi.takes.reading import list_takes, read_take
from companion.schedule.timing import Timing
from companion.score.model import Tune
from companion.score.setting import Change, in_setting
from companion.window.core.marks import Arrow, Picture, Role
from companion.window.live.ear import LiveEar
from companion.window.live.tune_run import TuneRun
from companion.window.play.play_state import first_state
from companion.window.takes.asked_tune import asked_of as asked_of_take
from companion.window.takes.review import review
from fingering.notes import Note
from tests.companion.listen.playing import asked_of, index_of, played_as, tune_of
from tests.companion.window import scenes
from tests.companion.window.live.listening import ListeningBench

MUSIC = "A2{g}B2c2{d}A2|e2{g}f2e2d2|c2{g}B2A2B2|{g}c2d2e2c2|" * 4
LATE, FASTER_FROM = 3, 16
"""The note that is late, told only once the player is known; and the one from which the player goes faster, told late
before that is known."""


@pytest.fixture(scope="module")
def tune() -> Tune:
    """Crotchets at 60 a minute."""
    return tune_of(MUSIC)


@pytest.fixture(scope="module")
def take() -> list[Sounded]:
    """One note 70 ms late, and from another on a fifth faster."""
    asked = asked_of(MUSIC)
    even = played_as(asked, start_s=0.0)
    for each in (index_of(asked, LATE, 0), index_of(asked, LATE)):
        even[each] = replace(even[each], at_s=even[each].at_s + 0.07)
    rank = index_of(asked, FASTER_FROM)
    turn_s = even[rank].at_s
    return [*even[:rank], *(replace(each, at_s=turn_s + 0.82 * (each.at_s - turn_s)) for each in even[rank:])]


def places(findings: Sequence[Finding]) -> list[tuple[FindingKind, int]]:
    """What was found, and where."""
    return [(each.kind, each.played) for each in findings]


def test_what_was_told_live_is_withdrawn_and_what_was_not_is_told(tune: Tune, take: list[Sounded]) -> None:
    """Until the second hearing is there, what was heard live stands."""
    ear = LiveEar()
    ear.begin(TuneRun(tune, Timing(), 0.0, 0.0))
    for event in take:
        ear.hear(event)
    live = places(ear.findings)
    ear.end()
    ear.wait()
    told = ear.told(tune, Timing(), first_state((tune,), tune, Timing()).schedule, 0.0)
    assert (live, places(told.marked)) == ([(FindingKind.LATE, FASTER_FROM)], [(FindingKind.LATE, LATE)])
    assert told.marked == judge(tune, take).findings
    assert told.lines == tuple(each.text for each in told.marked)


def test_a_run_too_short_to_be_judged_is_heard_twice_all_the_same(tune: Tune, take: list[Sounded]) -> None:
    """A few notes, as where a bar is played over and over: nothing failed, and nothing is said of them."""
    ear = LiveEar()
    ear.begin(TuneRun(tune, Timing(), 0.0, 0.0))
    for event in take[:4]:
        ear.hear(event)
    ear.end()
    ear.wait()
    assert ear.trouble == ""
    assert ear.told(tune, Timing(), first_state((tune,), tune, Timing()).schedule, 0.0).lines == ()


def test_what_the_learner_plays_otherwise_by_habit_is_no_fault_in_either_hearing(tune: Tune) -> None:
    """Where a setting of the tune is the learner's own, that is asked for; by the tune as written it is told."""
    second = tune.bars[0].notes[1]
    assert second.note is not None
    setting = (Change(second.rank, second.note, Note.E, second.gracenotes),)
    take = played_as(ask_for(in_setting(tune, setting), AT_SPEED), start_s=0.0)
    told = {}
    for own in ((), setting):
        ear = LiveEar()
        ear.begin(TuneRun(tune, Timing(), 0.0, 0.0, setting=own))
        for event in take:
            ear.hear(event)
        live = places(ear.findings)
        ear.end()
        ear.wait()
        shown = ear.told(tune, Timing(), first_state((tune,), tune, Timing()).schedule, 0.0)
        told[bool(own)] = live, places(shown.marked)
    assert told[True] == ([], [])
    assert told[False][0] == told[False][1] != []


def is_marked(picture: Picture) -> bool:
    """Whether an arrow stands in the lanes."""
    return any(isinstance(mark, Arrow) and mark.role is Role.FAULT for mark in picture.moving)


def test_the_window_shows_the_second_hearing_once_a_take_is_over(
    tune: Tune, take: list[Sounded], tmp_path: Path
) -> None:
    """In its words and in its lanes, and so does the review of the take that was kept."""
    bench = ListeningBench(tune, tmp_path)
    bench.play(take)
    bench.live.ear.wait()
    late, live = bench.picture_at(take[index_of(asked_of(MUSIC), LATE)].at_s), bench.picture_at(16.0)
    assert (is_marked(late), is_marked(live)) == (True, False)
    said = [label.text for label in scenes.labels(late) if label.role is Role.FAULT]
    assert said == [label.text for label in scenes.labels(live) if label.role is Role.FAULT]
    assert len(said) == 1
    assert said[0].startswith("Bar 1: low A came 70 ms late")
    bench.screen.close()
    (kept,) = list_takes(tmp_path).takes
    whole = read_take(kept.path)
    asked = asked_of_take(whole, (tune,))
    assert asked is not None
    assert [each.text for each in review(whole, asked, Strictness.USUAL).findings] == said
