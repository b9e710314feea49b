"""A step of a lesson goes on round after round by itself, as it hears."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from companion.lesson.model.steps import StepKind
from companion.lesson.progress.book import ProgressBook
from companion.listen.model.asked import ask_for
from companion.listen.model.terms import AT_SPEED
from companion.midi.takes.reading import list_takes
from companion.schedule.events import Event, EventKind
from companion.schedule.timing import Timing
from companion.score.model import Tune
from companion.window.core.actions import Action
from companion.window.core.display import Display
from companion.window.core.marks import Dot, Label
from companion.window.core.screen import Canvas, ScreenResult
from companion.window.lesson.step_screen import StepScreen
from companion.window.lesson.step_state import CLEAN, RoundPhase
from companion.window.lesson.teaching import Teaching, local_now
from companion.window.live.second_hearing import HeardRun
from companion.window.live.tune_run import TuneRun
from fingering.notes import Note
from tests.companion.listen.playing import tune_of
from tests.companion.window.lesson.learner import Learner, as_asked, nothing
from tests.companion.window.lettered import lettering_for

pytestmark = pytest.mark.same_everywhere

SIZE = (1280, 720)
MUSIC = "A2{g}B2c2d2|e2f2e2d2|A2{g}B2c2d2|e2c2B2A2|"


@pytest.fixture(scope="module")
def tune() -> Tune:
    """Four bars, two phrases of which one ends otherwise."""
    return tune_of(MUSIC)


@pytest.fixture
def learner(tune: Tune, tmp_path: Path) -> Learner:
    """Before the lesson."""
    return Learner(tune, tmp_path)


def first_of(learner: Learner, kind: StepKind) -> StepScreen:
    """The first step of that kind."""
    return learner.begin(next(rank for rank, step in enumerate(learner.lesson.state.steps) if step.kind is kind))


def without_gracenotes(event: Event) -> Note | None:
    """The melody alone; where a gracenote is asked for, the note that it leads onto is not there yet."""
    return None if event.kind is not EventKind.MELODY else event.note


def labels(step: StepScreen) -> list[str]:
    """All words of the picture."""
    display = Display()
    picture = step.picture(Canvas(*SIZE, display, lettering_for(SIZE, display)))
    return [mark.text for mark in (*picture.still, *picture.moving) if isinstance(mark, Label)]


def test_clean_rounds_make_it_faster_until_it_is_done(learner: Learner) -> None:
    step = first_of(learner, StepKind.EMBELLISHMENT)
    practice = step.sitting.practice
    assert practice
    speeds = []
    while step.sitting.practice and step.sitting.practice.step is practice.step:
        speeds.append(step.sitting.practice.pace.speed)
        learner.round(step, as_asked)
        assert step.phase is RoundPhase.READING
    assert speeds == sorted(speeds)
    assert speeds[0] < speeds[-1] == practice.step.goal.pace.speed
    assert practice.step.key in step.sitting.course.done


def test_failed_rounds_make_it_slower_and_say_what_was_amiss(learner: Learner) -> None:
    step = first_of(learner, StepKind.EMBELLISHMENT)
    assert step.sitting.practice
    before = step.sitting.practice.pace.speed
    for _ in range(2):
        learner.round(step, without_gracenotes)
        assert "gracenote" in step.state.lines[0]
    assert step.sitting.practice
    assert step.sitting.practice.pace.speed < before


def test_a_clean_round_is_called_clean_and_the_next_begins_by_itself(learner: Learner) -> None:
    step = first_of(learner, StepKind.IN_PLACE)
    learner.round(step, as_asked)
    assert CLEAN in labels(step)
    learner.round(step, as_asked)
    assert step.sitting.practice
    assert step.sitting.practice.rounds == 2


def test_a_round_in_which_nothing_was_played_is_no_round(learner: Learner) -> None:
    step = first_of(learner, StepKind.EMBELLISHMENT)
    learner.round(step, nothing)
    assert step.sitting.practice
    assert step.sitting.practice.rounds == 0
    assert step.phase is RoundPhase.READING


def test_a_phrase_is_played_over_its_own_bars_to_the_metronome(learner: Learner) -> None:
    step = first_of(learner, StepKind.PHRASE)
    state = step.stage.state
    assert state.sound.metronome_level > 0.0
    assert state.ends
    assert state.ends.end_s < state.schedule.duration_s
    learner.round(step, as_asked)
    assert step.sitting.practice
    assert step.sitting.practice.in_a_row == 1


def test_by_heart_nothing_is_shown_but_the_pulse(learner: Learner) -> None:
    step = first_of(learner, StepKind.BY_HEART)
    step.act(Action.PLAY)
    display = Display()
    picture = step.picture(Canvas(*SIZE, display, lettering_for(SIZE, display)))
    beats = [mark for mark in picture.moving if isinstance(mark, Dot)]
    assert len(beats) == 4 + 1, "a ring for each beat of the bar, and one for the time that is wanted"
    assert {type(mark) for mark in picture.moving} == {Dot, Label}
    assert step.stage.state.sound.chanter_level == 0.0


def test_the_whole_leaves_a_take_and_a_drill_none(learner: Learner, tmp_path: Path) -> None:
    learner.round(first_of(learner, StepKind.EMBELLISHMENT), as_asked)
    assert list_takes(tmp_path).takes == ()
    whole = first_of(learner, StepKind.WHOLE)
    learner.round(whole, as_asked)
    learner.live.close()
    assert len(list_takes(tmp_path).takes) == 1


def test_page_down_leads_on_though_nothing_was_played(learner: Learner) -> None:
    """With a presenter's remote too."""
    step = learner.begin(0)
    for rank, _ in enumerate(learner.lesson.state.steps):
        assert f"step {rank + 1} of {len(learner.lesson.state.steps)}" in step.state.place
        step.act(Action.STEP_ON)
    assert step.act(Action.LEAVE) is ScreenResult.CLOSE


def test_what_was_done_is_done_in_the_list(learner: Learner) -> None:
    step = first_of(learner, StepKind.EMBELLISHMENT)
    practice = step.sitting.practice
    while step.sitting.practice is not None and practice and step.sitting.practice.step is practice.step:
        learner.round(step, as_asked)
    step.close()
    assert learner.lesson.state.rows[0].about.endswith("done")
    assert learner.lesson.state.rank == 1


def test_what_was_set_aside_is_so_in_the_next_sitting(learner: Learner, tune: Tune, tmp_path: Path) -> None:
    """Also where the program was closed meanwhile: from the second time on it holds nothing up."""
    step = first_of(learner, StepKind.EMBELLISHMENT)
    sitting = step.sitting
    assert sitting.practice
    key = sitting.practice.step.key
    heard = HeardRun(TuneRun(tune, Timing(), 0.0, 0.0), ask_for(tune, AT_SPEED))
    teaching = Teaching(ProgressBook(tmp_path / "aside.sqlite"))
    after = replace(sitting, course=replace(sitting.course, aside={key: 1}))
    teaching.keep(sitting.practice.step, heard, sitting.course, after)
    teaching.close()
    again = Teaching(ProgressBook(tmp_path / "aside.sqlite"))
    assert dict(again.course(tune)[0].aside) == {key: 1}
    again.close()
    step.close()


def test_rounds_and_steps_done_go_into_the_book(learner: Learner, tune: Tune, tmp_path: Path) -> None:
    """And the next lesson begins where this one was left, without what is known by then."""
    step = first_of(learner, StepKind.EMBELLISHMENT)
    practice = step.sitting.practice
    while step.sitting.practice is not None and practice and step.sitting.practice.step is practice.step:
        learner.round(step, as_asked)
    step.close()
    learner.lesson.close()
    book = ProgressBook(tmp_path / "progress.sqlite")
    now = local_now()
    assert practice
    assert book.steps_done("", tune) == {practice.step.key}
    (series,) = book.account("", now).embellishments
    assert series.skill == practice.step.skill
    assert series.lately == 1.0
