"""What is no performance of the tune is said plainly, never judged."""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest

from companion.listen.judgement import judge
from companion.listen.model.findings import FindingKind
from companion.listen.model.played import Sounded
from companion.listen.model.terms import TakeTerms
from companion.score.abc import read_abc
from companion.score.model import Tune
from fingering.errors import UserError
from fingering.notes import Note
from tests.companion.listen.playing import FOUR_BARS, asked_of, index_of, played_as, tune_of
from tests.learners.learner import Learner
from tests.learners.player import simulate
from tests.learners.tunes import make_tune

pytestmark = pytest.mark.same_everywhere

TUNES = Path(__file__).resolve().parents[3] / "tunes"
ALIKE = (
    ("the-ropewalk-cat", "the-schoolmistress-of-tarrowick"),
    ("the-last-ferry-to-tarrowick", "the-schoolmistress-of-tarrowick"),
    ("the-ropewalk-cat", "the-last-ferry-to-tarrowick"),
    ("the-last-ferry-to-tarrowick", "all-hands-to-tarrowick-pier"),
)


def refusal(tune: Tune, events: list[Sounded]) -> str:
    """The line with which a take is refused."""
    with pytest.raises(UserError) as caught:
        judge(tune, events, where="take.mid")
    return str(caught.value)


def test_an_empty_take() -> None:
    """Neither no events nor silence alone."""
    assert "nothing was played" in refusal(tune_of(FOUR_BARS), [])
    assert "nothing was played" in refusal(tune_of(FOUR_BARS), [Sounded(0.0, None)])


def test_all_on_one_note() -> None:
    """A stuck key."""
    events = [Sounded(float(beat), Note.B if beat % 2 else None) for beat in range(40)]
    assert "all of this take is one note, B" in refusal(tune_of(FOUR_BARS), events)


def test_another_tune() -> None:
    """Takes of one made-up tune are refused as another's."""
    for draw in range(6):
        take = simulate(make_tune(draw), Learner(70.0), draw)
        assert "does not sound like Made up" in refusal(make_tune(draw + 50), list(take.notes))


def test_another_tune_of_the_same_idiom() -> None:
    """Beside those of the tunes that come with the program which are most like it, tunes are refused as well."""
    tunes = {path.stem: read_abc(path).tunes[0] for path in TUNES.glob("*.abc")}
    for played, beside in ALIKE:
        take = simulate(tunes[played], Learner(70.0), 4)
        assert "does not sound like" in refusal(tunes[beside], list(take.notes))


@pytest.mark.parametrize("mean_s", [0.08, 0.2, 0.5])
def test_sixty_seconds_of_noise(mean_s: float) -> None:
    """Notes of the chanter drawn at random, fast or slow."""
    random = Random(3)
    events, at_s = [], 0.0
    while at_s < 60.0:
        events.append(Sounded(at_s, Note(random.randrange(9))))
        at_s += random.expovariate(1.0 / mean_s) + 0.005
    assert "not judged" in refusal(make_tune(1), [*events, Sounded(at_s, None)])


def test_ten_times_the_notes() -> None:
    """That is more than one attempt."""
    asked = asked_of(FOUR_BARS)
    once = played_as(asked)
    length_s = once[-1].at_s
    many = [Sounded(event.at_s + turn * length_s, event.note) for turn in range(10) for event in once[:-1]]
    assert "so it is not judged" in refusal(tune_of(FOUR_BARS), many)


@pytest.mark.parametrize("slowed", [0.2, 10.0, 32.0, 3200.0])
def test_as_slow_as_it_was_asked_for(slowed: float) -> None:
    """What the window slows down is judged by its own pace: nothing is blamed but what was wrong."""
    asked, terms = asked_of(FOUR_BARS), TakeTerms(slowed, slowed)
    events = played_as(asked, slowed)
    assert judge(tune_of(FOUR_BARS), events, terms=terms).findings == ()
    wrong = index_of(asked, 14)
    events[wrong] = Sounded(events[wrong].at_s, Note.HIGH_G)
    found = judge(tune_of(FOUR_BARS), events, terms=terms).findings
    assert [(each.kind, each.played) for each in found] == [(FindingKind.WRONG_NOTE, 14)]


@pytest.mark.parametrize("times", [6.0, 10.0, 1.0 / 6.0])
def test_no_tempo_is_refused(times: float) -> None:
    """A beginner at 30 beats a minute where 180 are asked, and a take run too fast, are judged as the tune."""
    judged = judge(tune_of(FOUR_BARS), played_as(asked_of(FOUR_BARS), 32.0 * times), terms=TakeTerms(32.0, 32.0))
    assert judged.verdict.notes.right == judged.verdict.notes.of
    assert judged.verdict.pace is not None


def test_times_that_go_backwards() -> None:
    """The take is refused, not sorted."""
    events = played_as(asked_of(FOUR_BARS))
    assert "goes back in time" in refusal(tune_of(FOUR_BARS), [*events[:9], events[3], *events[9:]])


def test_two_notes_are_too_few() -> None:
    """Nothing can be said of them."""
    asked = asked_of(FOUR_BARS)
    assert "too few to judge" in refusal(tune_of(FOUR_BARS), [*played_as(asked)[:3], Sounded(9.0, None)])


def test_a_tune_without_gracenotes_says_so() -> None:
    """Its melody is judged; of gracenotes it is told that they are not."""
    music = "A2B2c2d2|e2f2e2d2|c2B2A2B2|c2d2e2c2|"
    verdict = judge(tune_of(music), played_as(asked_of(music))).verdict
    assert "Gracenotes: the tune as it is written here has none." in verdict.not_judged


def test_a_take_full_of_faults_is_judged_all_the_same() -> None:
    """A fault at every third note is bad playing, but playing."""
    for draw in range(4):
        tune = make_tune(draw)
        take = simulate(tune, Learner(60.0, faults=0.33, restarts=0.1), draw)
        assert judge(tune, take.notes).findings
