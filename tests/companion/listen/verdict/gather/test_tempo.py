"""Tempo as something to learn. All shares are choices, no source."""

from __future__ import annotations

from dataclasses import replace

import pytest

from companion.listen.model.findings import FindingKind
from companion.listen.rhythm.pace import TempoHeard, TempoStretch
from companion.listen.verdict.gather.tempo import another_tempo, off_the_metronome, unsteady
from tests.companion.listen.playing import asked_of
from tests.companion.listen.verdict.found import evidence, finding, tally_of, tempo

TUNE = asked_of("A2B2c2d2|e2f2e2d2|c2B2A2B2|c2d2e2c2|" * 2)
STEADY = replace(tempo(60.0, 59.0, 61.0), slowest=5, fastest=18)
LATE = [finding(TUNE, FindingKind.LATE, played, 60.0 + played) for played in (4, 9, 13)]


@pytest.mark.parametrize(
    ("last_qpm", "said"),
    [
        (67.3, "The tempo ran away: about 60 in the first third, 67 in the last."),
        (67.1, None),
        (52.7, "The tempo dragged: about 60 in the first third, 53 in the last."),
        (52.9, None),
    ],
)
def test_a_tempo_runs_or_drags_from_an_eighth_on(last_qpm: float, said: str | None) -> None:
    """12 % between the first third and the last."""
    pace = replace(STEADY, last_qpm=last_qpm)
    assert [matter.text for matter in unsteady(evidence(TUNE, [], pace=pace), [])] == ([said] if said else [])


@pytest.mark.parametrize(("fastest_qpm", "told"), [(62.9, True), (62.7, False)])
def test_a_tempo_wanders_from_an_eighth_on(fastest_qpm: float, told: bool) -> None:
    """Between the slowest bar and the fastest."""
    pace = replace(STEADY, slowest_qpm=55.0, fastest_qpm=fastest_qpm)
    matters = unsteady(evidence(TUNE, [], pace=pace), [])
    assert bool(matters) is told
    if told:
        assert matters[0].text == "The tempo wandered: 55 about bar 2; 63 about bar 5."


def test_the_drill_for_a_tempo_goes_by_the_slower_of_middle_and_beginning() -> None:
    """What is drilled is the bar where it was most so; the finding stands for no one note."""
    for first_qpm, last_qpm, drill_qpm, bar, kind in (
        (56.0, 66.0, 56, range(16, 20), FindingKind.EARLY),
        (66.0, 56.0, 60, range(4, 8), FindingKind.LATE),
    ):
        pace = replace(STEADY, first_qpm=first_qpm, last_qpm=last_qpm)
        (only,) = unsteady(evidence(TUNE, [], pace=pace), [])
        assert only.drill.text.startswith(f"Play the whole with the metronome at {drill_qpm}, then without it")
        assert (only.drill.first, only.drill.last, only.drill.slow_down) == (bar[0], bar[-1], 1.0)
        (stands,) = only.findings
        assert (stands.kind, stands.ms) == (kind, None)
        assert stands.at_s == TUNE.schedule.note_onsets_s[stands.played]


def test_what_a_wandering_tempo_left_off_its_time_belongs_to_it() -> None:
    """Notes a little early and late, after what holds for all of it; what is really late, or another thing, does not.
    Nothing where it stayed steady, nor beside a stretch at another tempo."""
    pace = replace(STEADY, last_qpm=70.0)
    others = [finding(TUNE, FindingKind.CROSSING, 2), finding(TUNE, FindingKind.LATE, 6, 150.0)]
    (only,) = unsteady(evidence(TUNE, [*LATE, *others], pace=pace), [*LATE, *others])
    assert only.findings[0].throughout
    assert only.findings[1:] == tuple(LATE)
    assert unsteady(evidence(TUNE, LATE, pace=STEADY), LATE) == []
    assert unsteady(evidence(TUNE, LATE), LATE) == []
    assert unsteady(evidence(TUNE, LATE, pace=replace(pace, stretches=(TempoStretch(0, 9, 40.0),))), LATE) == []


def test_against_a_metronome_a_wandering_tempo_is_told_only_where_nothing_was_said_of_that() -> None:
    """Notes that were off by the player's own pulse as well say nothing of the metronome."""
    pace = replace(STEADY, last_qpm=70.0)
    assert unsteady(evidence(TUNE, LATE, pace=pace, metronome_bpm=60.0), []) == []
    own = frozenset({4, 9, 13})
    assert unsteady(evidence(TUNE, LATE, pace=pace, metronome_bpm=60.0, off_own_pulse=own), [])
    assert unsteady(evidence(TUNE, [], pace=pace, metronome_bpm=60.0), [])


# --- off the metronome ---


def against(pace: TempoHeard, *, metronome_bpm: float = 60.0) -> str:
    """What is said of three late notes."""
    (only,) = off_the_metronome(evidence(TUNE, LATE, pace=pace, metronome_bpm=metronome_bpm), LATE)
    return only.text


def test_three_notes_off_the_metronome_are_a_matter_of_tempo() -> None:
    """Two are notes; what is off the player's own pulse too is not counted."""
    told = evidence(TUNE, LATE, pace=STEADY, metronome_bpm=60.0)
    (only,) = off_the_metronome(told, LATE)
    assert only.findings == tuple(LATE)
    assert only.drill.text.startswith("Set the metronome to 60 and play bar 2 until")
    assert (only.drill.first, only.drill.last, only.drill.slow_down) == (4, 7, 1.0)
    assert off_the_metronome(told, LATE[:2]) == []
    assert off_the_metronome(replace(told, off_own_pulse=frozenset({9})), LATE) == []
    assert off_the_metronome(replace(told, metronome_bpm=None), LATE) == []
    assert off_the_metronome(replace(told, pace=None), LATE) == []


@pytest.mark.parametrize(
    ("qpm", "said"),
    [
        (59.3, "The metronome kept 60, you played at 59 and fell behind it."),
        (60.7, "The metronome kept 60, you played at 61 and ran ahead of it."),
        (59.41, "You kept the metronome's tempo, but behind the click: 3 notes, by 64 to 73 ms."),
        (60.59, "You kept the metronome's tempo, but behind the click: 3 notes, by 64 to 73 ms."),
    ],
)
def test_a_hundredth_off_is_another_tempo(qpm: float, said: str) -> None:
    """Less is the metronome's own, with the notes beside its click."""
    assert against(replace(STEADY, qpm=qpm, slowest_qpm=qpm, fastest_qpm=qpm)) == said


def test_tempos_that_would_read_alike_have_a_decimal() -> None:
    """30 and 30.4."""
    pace = tempo(30.4, 30.4, 30.4)
    assert against(pace, metronome_bpm=30.0) == "The metronome kept 30.0, you played at 30.4 and ran ahead of it."


def test_the_drill_is_at_the_slower_of_the_two_tempos() -> None:
    """The player's, or the metronome's."""
    for qpm, drill_qpm in ((50.0, 50), (70.0, 60)):
        pace = tempo(qpm, qpm, qpm)
        (only,) = off_the_metronome(evidence(TUNE, LATE, pace=pace, metronome_bpm=60.0), LATE)
        assert only.drill.text.startswith(f"Set the metronome to {drill_qpm} and")


def test_who_did_not_stay_with_it_or_drifted_about_it_is_told_so() -> None:
    """The extremes; or on both sides of the click; or ahead of it."""
    wild = replace(STEADY, slowest_qpm=50.0, fastest_qpm=64.0)
    assert against(wild) == "You did not stay with the metronome: it kept 60, you played between 50 and 64."
    early = [finding(TUNE, FindingKind.EARLY, played, 60.0) for played in (4, 9, 13)]
    (ahead,) = off_the_metronome(evidence(TUNE, early, pace=STEADY, metronome_bpm=60.0), early)
    assert ahead.text == "You kept the metronome's tempo, but ahead of the click: 3 notes, by 60 ms."
    both = [*LATE[:2], early[2]]
    (about,) = off_the_metronome(evidence(TUNE, both, pace=STEADY, metronome_bpm=60.0), both)
    assert about.text.startswith(
        "You drifted about the metronome, now ahead of it, now behind: 3 notes, by 60 to 69 ms"
    )


# --- another tempo ---


def test_a_stretch_at_another_tempo_takes_the_notes_around_it() -> None:
    """Up to three before and after it; the drill is at the slowest tempo, over the stretch."""
    pace = replace(STEADY, stretches=(TempoStretch(10, 20, 30.0),))
    late = [finding(TUNE, FindingKind.LATE, played, 60.0) for played in (6, 7, 15, 23, 24)]
    crossing = finding(TUNE, FindingKind.CROSSING, 15)
    (only,) = another_tempo(evidence(TUNE, [*late, crossing], pace=pace), [*late, crossing])
    assert [each.played for each in only.findings] == [7, 15, 23]
    assert only.text == "From bar 3 to bar 6 you played at 30, elsewhere at 60."
    assert only.drill.text.startswith("Set the metronome to 30, which the hardest bars allow")
    assert (only.drill.first, only.drill.last, only.drill.slow_down) == (10, 20, 1.0)


def test_against_a_metronome_a_stretch_takes_all_that_it_left_behind() -> None:
    """What is off the player's own pulse, far from the stretch, is left to be told by itself."""
    pace = replace(STEADY, stretches=(TempoStretch(16, 20, 30.0),))
    found = [finding(TUNE, FindingKind.LATE, played, 60.0) for played in (2, 4, 18)]
    told = evidence(TUNE, found, pace=pace, metronome_bpm=60.0, off_own_pulse=frozenset({4, 18}))
    (only,) = another_tempo(told, found)
    assert [each.played for each in only.findings] == [2, 18]


def test_a_stretch_with_no_note_off_its_time_is_told_nevertheless() -> None:
    """Late where it was slower, early where it was faster; within one bar, that bar."""
    for qpm, kind, drill_qpm in ((30.0, FindingKind.LATE, 30), (90.0, FindingKind.EARLY, 60)):
        pace = replace(STEADY, stretches=(TempoStretch(8, 11, qpm),))
        (only,) = another_tempo(evidence(TUNE, [], pace=pace), [])
        assert only.text == f"In bar 3 you played at {qpm:.0f}, elsewhere at 60."
        assert [(each.kind, each.played) for each in only.findings] == [(kind, 8)]
        assert only.drill.text.startswith(f"Set the metronome to {drill_qpm},")
    assert another_tempo(evidence(TUNE, [], pace=STEADY), []) == []
    assert another_tempo(evidence(TUNE, []), []) == []


def test_what_was_not_heard_stands_at_the_beginning() -> None:
    """A bar that has no place in the take."""
    tally = replace(tally_of(TUNE), places=())
    (only,) = unsteady(evidence(TUNE, [], tally=tally, pace=replace(STEADY, last_qpm=70.0)), [])
    assert only.findings[0].at_s == 0.0
