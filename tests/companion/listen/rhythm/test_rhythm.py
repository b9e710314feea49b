"""What is early, late or too even, and for whom nothing is. Limits in ms: companion.listen.model.strictness."""

from __future__ import annotations

from collections.abc import Callable
from random import Random

import pytest

from companion.listen.judgement import judge
from companion.listen.model.asked import Asked
from companion.listen.model.findings import FindingKind
from companion.listen.model.misheard import AS_PLAYED, Misheard
from companion.listen.model.played import Sounded
from companion.listen.model.strictness import Strictness
from companion.listen.rhythm.heard import HeardUnit
from companion.listen.rhythm.rhythm import OnsetJudge
from companion.schedule.events import Event, EventKind
from tests.companion.listen.playing import asked_of, heard, kinds, played_as, tune_of

EVEN = "A2B2c2d2|e2f2e2d2|c2B2A2B2|c2d2e2c2|" * 3
LENGTHS = "A2B2c4|e2f2e4|c2B2A4|c2d2e4|" * 3
POINTED = "A>B c>d e>f e>d|c>B A>B c>d e>c|" * 4
DOUBLINGS = "A2{gBd}B2c2{gde}d2|{gef}e2f2{gde}d2c2|{gBd}B2A2{gcd}c2d2|" * 4


def played_with(asked: Asked, moved_s: Callable[[Event], float], spread_s: float = 0.0) -> list[Sounded]:
    """Exactly what is asked, each event moved by so much, and each note by a spread of its own."""
    random = Random(3)
    strays = [random.gauss(0.0, spread_s) for _ in asked.schedule.played]
    told = [
        Sounded(1.0 + event.start_s + moved_s(event) + strays[event.played], event.note)
        for event in asked.schedule.events
    ]
    return [*told, Sounded(1.0 + asked.schedule.duration_s, None)]


@pytest.mark.parametrize(("off_s", "kind"), [(0.2, FindingKind.LATE), (-0.2, FindingKind.EARLY)])
@pytest.mark.parametrize("music", [EVEN, LENGTHS], ids=["even", "lengths"])
@pytest.mark.parametrize("played", [13, 14, 17, 20])
def test_a_note_off_its_time_is_told_and_no_other(music: str, played: int, off_s: float, kind: FindingKind) -> None:
    """By a fifth of a crotchet, among notes that stray by 2 % (tapping, Repp 2005, from memory); onto long ones too."""
    asked = asked_of(music)
    take = played_with(asked, lambda event: off_s if event.played == played else 0.0, 0.01)
    (found,) = heard(asked, take)
    assert (found.kind, found.played) == (kind, played)
    assert found.ms == pytest.approx(200.0, abs=50.0)


def test_a_hesitation_is_told_once() -> None:
    """All that follows is later by as much, and on time."""
    asked = asked_of(EVEN)
    (found,) = heard(asked, played_with(asked, lambda event: 0.2 if event.played >= 17 else 0.0))
    assert (found.kind, found.played) == (FindingKind.LATE, 17)


def test_two_faults_near_each_other_are_two() -> None:
    """One late, and the third after it early."""
    asked = asked_of(EVEN)
    off_s = {17: 0.2, 20: -0.2}
    found = heard(asked, played_with(asked, lambda event: off_s.get(event.played, 0.0)))
    assert [(each.kind, each.played) for each in found] == [(FindingKind.LATE, 17), (FindingKind.EARLY, 20)]


def test_a_drifting_tempo_is_no_fault() -> None:
    """Slower by a fifth from beginning to end: each note is where the ones beside it make it due."""
    asked = asked_of(EVEN)
    whole_s = asked.schedule.duration_s
    take = [Sounded(1.0 + at.at_s * (1.0 + 0.1 * at.at_s / whole_s), at.note) for at in played_as(asked, start_s=0.0)]
    assert kinds(heard(asked, take)) == []


@pytest.mark.parametrize("ends_on_beat", [False, True])
def test_doublings_may_stand_on_the_beat_or_before_it(ends_on_beat: bool) -> None:
    """As the player does throughout (common practice, no source)."""
    asked = asked_of(DOUBLINGS)
    lengths_s = {event.played: 0.0 for event in asked.schedule.events}
    for event in asked.schedule.events:
        lengths_s[event.played] += (event.end_s - event.start_s) if event.kind is EventKind.GRACENOTE else 0.0
    take = played_with(asked, lambda event: -lengths_s[event.played] if ends_on_beat else 0.0)
    assert kinds(heard(asked, take)) == []


def pointed(asked: Asked, ratio: float) -> list[Sounded]:
    """Pairs of a dotted quaver and a semiquaver played in another ratio."""
    second_s = 0.5 * ratio / (1.0 + ratio) * 2.0 - 0.75
    return played_with(asked, lambda event: second_s if event.played % 2 else 0.0)


def test_every_pair_played_even_is_told_as_that() -> None:
    """Nothing is called late: who points nothing has a steady pulse nevertheless."""
    asked = asked_of(POINTED)
    found = heard(asked, pointed(asked, 1.0))
    assert set(kinds(found)) == {FindingKind.POINTING}
    assert len(found) >= len(asked.schedule.played) // 2 - 2


@pytest.mark.parametrize(
    ("music", "wish"),
    [
        ("A>B c>d e>f e>d|" * 6, "hold low A, cut B"),
        ("A<B c<d e<f e<d|" * 6, "cut low A, hold B"),
        ("A>{g}A c>d e>f e>d|" * 6, "hold the first, cut the second"),
    ],
)
def test_what_to_hold_and_what_to_cut_is_said(music: str, wish: str) -> None:
    """By name, or by their order where the two notes are the same."""
    asked = asked_of(music)
    second_s = -0.25 if ">" in music else 0.25
    found = heard(asked, played_with(asked, lambda event: second_s if event.played % 2 else 0.0))
    assert found[0].text.endswith(f"{wish}.")


@pytest.mark.parametrize("ratio", [2.4, 3.0, 4.0])
def test_how_sharply_pairs_are_pointed_is_the_players(ratio: float) -> None:
    """Three to one is written; players cut from two to four and more (common practice, no source)."""
    asked = asked_of(POINTED)
    assert kinds(heard(asked, pointed(asked, ratio))) == []


def test_from_one_side_of_a_leap_to_the_other_there_is_no_tempo() -> None:
    """The second bar begun again after a stop of a second and a half: the take began at the tempo asked for."""
    asked = asked_of("A2B2c2d2|e2f2e2d2|c2B2A2B2|")
    judge = OnsetJudge(asked, Strictness.USUAL.limits)
    at_s = asked.schedule.note_onsets_s
    for played in range(6):
        judge.heard(HeardUnit(played, at_s[played], at_s[played], None, plain=True, apart=False))
    judge.cut()
    for played in range(4, 10):
        onset_s = at_s[played] + at_s[6] - at_s[4] + 1.5
        judge.heard(HeardUnit(played, onset_s, onset_s, None, plain=True, apart=False))
    judge.cut()
    assert judge.first_ratio == pytest.approx(1.0)


def test_a_note_whose_first_gracenote_the_note_before_swallows_is_late_as_any_other() -> None:
    """By a fifth of a second: its high A is not heard, for the high A before it goes on, and that is no fault."""
    asked = asked_of("A2c2e2f2|g2a2{ag}a2f2|e2c2A2B2|" * 4)
    take = played_with(asked, lambda event: 0.2 if event.played == 30 else 0.0, 0.01)
    assert [(each.kind, each.played) for each in heard(asked, take)] == [(FindingKind.LATE, 30)]


@pytest.mark.parametrize(
    ("late_s", "misheard", "told"),
    [(0.08, AS_PLAYED, True), (0.08, Misheard(misplaced_ms=30.0), False), (0.12, Misheard(misplaced_ms=30.0), True)],
)
def test_how_far_notes_are_misheard_is_allowed_beside_the_players_unsteadiness(
    late_s: float, misheard: Misheard, *, told: bool
) -> None:
    """Of a player who strays by 20 ms."""
    asked = asked_of(EVEN)
    take = played_with(asked, lambda event: late_s if event.played == 30 else 0.0, 0.02)
    found = judge(tune_of(EVEN), take, misheard=misheard).findings
    assert [(each.kind, each.played) for each in found] == [(FindingKind.LATE, 30)] * told
