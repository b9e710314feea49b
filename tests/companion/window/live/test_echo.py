"""The rest between rounds and the echo, as whoever plays in meets them: what is listened for, judged and kept."""

from __future__ import annotations

from pathlib import Path

import pytest

from companion.listen.judgement import judge
from companion.listen.model.findings import FindingKind
from companion.listen.model.played import Sounded
from companion.midi.takes.hearing import hear_take
from companion.midi.takes.reading import list_takes
from companion.schedule.practice.rounds import Echo, Rest
from companion.schedule.spans import Extent
from companion.score.model import Tune
from companion.window.core.actions import Action
from companion.window.play.handing import LEARNER_READY_S
from fingering.notes import Note
from tests.companion.listen.playing import tune_of
from tests.companion.window.live.listening import ListeningBench
from tests.companion.window.live.test_repeated import BAR_S, ROUND, repeating

MUSIC = "A2{g}B2c2{d}A2|e2{g}f2e2d2|c2{g}B2A2B2|{g}c2d2e2c2|"


@pytest.fixture(scope="module")
def tune() -> Tune:
    """Crotchets at 60 a minute."""
    return tune_of(MUSIC)


def playing(*begins_s: float, wrong: int | None = None, early_s: float = -0.02) -> list[Sounded]:
    """The second bar, played at each of those moments; the round of rank `wrong` ends on a C."""
    return [
        Sounded(begin_s + at_s - early_s, Note.C if at_s == 3.0 and rank == wrong else note)
        for rank, begin_s in enumerate(begins_s)
        for at_s, note in (*ROUND, (3.9, None))
    ]


def asking(bench: ListeningBench, action: Action, wanted: Rest | Echo) -> None:
    """Ask until that is set."""
    while wanted not in (bench.screen.state.rounds.rest, bench.screen.state.rounds.echo):
        bench.screen.act(action)


def found_in_takes(folder: Path, tune: Tune) -> list[list[tuple[FindingKind, int]]]:
    """What is found in each take that was kept, judged as the command line does."""
    found = []
    for take in list_takes(folder).takes:
        heard = hear_take(take.path, tune, None)
        findings = judge(tune, heard.events, terms=heard.terms).findings
        found.append([(each.kind, each.bar) for each in findings])
    return sorted(found, key=len)


@pytest.mark.parametrize("early_s", [-0.02, 0.05])
def test_each_round_after_a_rest_is_a_run_of_its_own(tune: Tune, tmp_path: Path, early_s: float) -> None:
    """A bar's rest between them; a first note that comes a little early belongs to its round."""
    bench = repeating(tune, tmp_path)
    asking(bench, Action.REST, Rest.BAR)
    rounds = playing(0.1, 2 * BAR_S, 4 * BAR_S, wrong=1, early_s=early_s)
    bench.play_on([*rounds, Sounded(5 * BAR_S - 0.05, None)])
    bench.live.ear.wait()
    bench.screen.close()
    assert found_in_takes(tmp_path, tune) == [[], [], [(FindingKind.WRONG_NOTE, 2)]]


@pytest.mark.parametrize("rest", [Rest.NONE, Rest.BAR])
@pytest.mark.parametrize("early_s", [-0.02, 0.05])
def test_what_is_played_back_is_judged_as_a_run_of_the_stretch(
    tune: Tune, tmp_path: Path, rest: Rest, early_s: float
) -> None:
    """Twice, the second time with a wrong note; what is tried in the tool's turn is not heard."""
    bench = repeating(tune, tmp_path)
    asking(bench, Action.ECHO, Echo.AGAIN)
    asking(bench, Action.REST, rest)
    turn_s = BAR_S if rest is Rest.NONE else 2 * BAR_S
    tried = [Sounded(1.0, Note.F), Sounded(1.5, None)]
    back = playing(turn_s, 3 * turn_s, wrong=1, early_s=early_s)
    bench.play_on([*tried, *back, Sounded(4 * turn_s - 0.05, None)])
    bench.live.ear.wait()
    assert bench.live.ear.before is not None
    assert [each.kind for each in bench.live.ear.before.heard.findings] == [FindingKind.WRONG_NOTE]
    bench.screen.close()
    assert found_in_takes(tmp_path, tune) == [[], [(FindingKind.WRONG_NOTE, 2)]]


def test_what_was_played_back_is_told_while_the_tool_plays(tune: Tune, tmp_path: Path) -> None:
    """In sentences, since there is time to read."""
    bench = repeating(tune, tmp_path)
    asking(bench, Action.ECHO, Echo.AGAIN)
    bench.play_on([*playing(BAR_S, wrong=0), Sounded(2 * BAR_S + 1.0, None)])
    bench.live.ear.wait()
    state = bench.screen.state
    told = bench.live.ear.told(tune, state.timing, state.schedule, 5.0)
    assert any("C" in line for line in told.lines)


def test_a_room_that_plays_on_chanters_is_not_judged(tune: Tune, tmp_path: Path) -> None:
    """Where nothing is played in nothing is said, and nothing is kept."""
    bench = repeating(tune, tmp_path)
    asking(bench, Action.ECHO, Echo.ON)
    bench.play_on([Sounded(6 * BAR_S, None)])
    state = bench.screen.state
    told = bench.live.ear.told(tune, state.timing, state.schedule, 0.0)
    assert (told.lines, told.marked, told.brief) == ((), (), None)
    assert list_takes(tmp_path).takes == ()


def test_an_echo_that_goes_on_shows_the_next_stretch(tune: Tune, tmp_path: Path) -> None:
    """And listens for that one; a key that moves the tune stays within the order."""
    bench = repeating(tune, tmp_path)
    asking(bench, Action.ECHO, Echo.ON)
    screen, seen = bench.screen, []
    screen.act(Action.PLAY)
    for _ in range(8):
        screen.listen_in()
        run = screen.run_now()
        seen.append((screen.state.stretch.notes if screen.state.stretch else None, run is not None))
        bench.clock.now_s += BAR_S
    bar = {rank: range(4 * rank, 4 * rank + 4) for rank in range(4)}
    assert seen == [(bar[rank], heard) for rank in (1, 2, 3, 0) for heard in (False, True)]


def test_an_echo_of_a_whole_tune_is_of_its_phrases(tune: Tune, tmp_path: Path) -> None:
    """Nobody plays back a tune at once, nor nothing."""
    seen = []
    for extent in (Extent.TUNE, Extent.NOTHING, Extent.PART):
        bench = ListeningBench(tune, tmp_path)
        while bench.screen.state.extent is not extent:
            bench.screen.act(Action.REPEAT)
        bench.screen.act(Action.ECHO)
        seen.append(bench.screen.state.extent)
    assert seen == [Extent.PHRASE, Extent.PHRASE, Extent.PART]


def test_it_is_listened_for_an_early_first_note(tune: Tune, tmp_path: Path) -> None:
    """A moment before the learner's turn, counted towards its beginning."""
    bench = repeating(tune, tmp_path)
    asking(bench, Action.ECHO, Echo.AGAIN)
    bench.screen.act(Action.PLAY)
    bench.clock.now_s += BAR_S - LEARNER_READY_S - 0.01
    assert bench.screen.run_now() is None
    bench.clock.now_s += 0.02
    run = bench.screen.run_now()
    assert run is not None
    assert run.position_s == pytest.approx(BAR_S - LEARNER_READY_S + 0.01)
    assert run.starts_s == BAR_S
