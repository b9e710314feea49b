"""The tempo of a take: the middle, the extremes, and stretches at another."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from itertools import accumulate

import pytest

from companion.listen.model.asked import Asked
from companion.listen.rhythm.pace import TempoHeard, TempoStretch, pace_of, pace_words
from tests.companion.listen.playing import asked_of
from tests.companion.listen.verdict.found import tempo

CROTCHETS = asked_of("A2B2c2d2|" * 40)


def beats(notes: int, qpm: Callable[[int], float] = lambda note: 60.0, first: int = 0) -> list[tuple[int, float]]:
    """When so many crotchets in a row began, each as long as its tempo makes it."""
    lengths_s = (60.0 / qpm(note) for note in range(first, first + notes - 1))
    return list(enumerate(accumulate(lengths_s, initial=1.0), first))


def pace(moments: list[tuple[int, float]], asked: Asked = CROTCHETS, breaks_s: tuple[float, ...] = ()) -> TempoHeard:
    """The tempo of a take that has one."""
    found = pace_of(asked, moments, breaks_s=breaks_s)
    assert found is not None
    return found


def test_tempo_needs_eight_notes_and_the_one_after_them() -> None:
    """Fewer tell none."""
    assert pace_of(CROTCHETS, []) is None
    assert pace_of(CROTCHETS, beats(8)) is None
    assert pace(beats(9)).qpm == pytest.approx(60.0)


def test_a_crotchet_is_a_crotchet_whatever_is_written() -> None:
    """Quavers and minims at 80 are at 80."""
    asked = asked_of("A2B2cdA2|c4d4|" * 6)
    onsets_s = asked.schedule.note_onsets_s
    found = pace([(played, 0.75 * at_s) for played, at_s in enumerate(onsets_s)], asked)
    assert (found.qpm, found.slowest_qpm, found.fastest_qpm) == pytest.approx((80.0, 80.0, 80.0))


def test_the_first_and_the_last_third_have_a_tempo_of_their_own() -> None:
    """A take that goes from 60 to 75 evenly: its middle, its thirds, and which notes were slowest and fastest."""
    found = pace(beats(61, lambda note: 60.0 + note / 4.0))
    assert found.qpm == pytest.approx(67.5, abs=0.2)
    assert (found.first_qpm, found.last_qpm) == pytest.approx((63.0, 72.0), abs=0.5)
    assert found.trend == pytest.approx(9.0 / 67.5, abs=0.01)
    assert found.slowest < 10
    assert found.fastest > 50
    assert found.stretches == ()


def test_the_tempo_of_a_bar_is_told_at_its_middle() -> None:
    """Four notes at 70 among 60: the fastest window is that around them, 64.6 by hand (8 crotchets in 7.43 s)."""
    found = pace(beats(40, lambda note: 70.0 if 20 <= note < 24 else 60.0))
    assert found.fastest_qpm == pytest.approx(60.0 * 8.0 / (4.0 + 4.0 * 6.0 / 7.0))
    assert found.slowest_qpm == pytest.approx(60.0)
    assert 18 <= found.fastest <= 24


def test_one_extreme_in_twenty_is_left_out() -> None:
    """Of 40 windows one at either end: a single bar that lasted long does not make the range, of fewer it does."""
    assert pace(beats(28, lambda note: 55.0 if note == 0 else 60.0)).slowest_qpm == pytest.approx(60.0)
    assert pace(beats(26, lambda note: 55.0 if note == 0 else 60.0)).slowest_qpm < 59.5


@pytest.mark.parametrize(("fastest_qpm", "steady"), [(105.0, True), (105.5, False)])
def test_a_tenth_from_slowest_to_fastest_is_steady(fastest_qpm: float, steady: bool) -> None:
    """Players slow by a tenth over a phrase (common practice, no source)."""
    heard = tempo(100.0, 95.0, fastest_qpm)
    assert heard.wander == pytest.approx((fastest_qpm - 95.0) / 100.0)
    assert heard.is_steady is steady
    assert not tempo(100.0, 95.0, 105.0, stretches=(TempoStretch(0, 20, 60.0),)).is_steady


@pytest.mark.parametrize(("longer", "counts"), [(2.5, True), (2.7, False)])
def test_a_note_far_too_long_was_a_stop_and_no_tempo(longer: float, counts: bool) -> None:
    """From 2.6 times its length on (a choice, no source)."""
    found = pace(beats(60, lambda note: 60.0 / longer if note == 30 else 60.0))
    assert (found.slowest_qpm < 59.0) is counts


def test_time_around_a_break_and_over_a_leap_is_no_tempo() -> None:
    """Neither is a note that came twice at the same moment."""
    slow = beats(40, lambda note: 30.0 if note == 20 else 60.0)
    assert pace(slow).slowest_qpm < 59.0
    assert pace(slow, breaks_s=(slow[20][1] + 0.5,)).slowest_qpm == pytest.approx(60.0)
    for at_s in (slow[20][1], slow[21][1]):
        assert pace(slow, breaks_s=(at_s,)).slowest_qpm == pytest.approx(60.0)
    leap = [*beats(20), *((note, at_s + 30.0) for note, at_s in beats(20, first=30))]
    assert pace(leap).slowest_qpm == pytest.approx(60.0)
    twice = [*slow[:10], (10, slow[9][1]), *slow[11:20]]
    assert pace(twice).fastest_qpm < 75.0


def stretch(qpm: float, notes: int, *, before_qpm: float = 60.0) -> TempoHeard:
    """A take at 60 of which some notes in the middle were played at another tempo."""
    return pace(
        beats(160, lambda note: qpm if 70 <= note < 70 + notes else before_qpm if 58 <= note < 70 else 60.0),
    )


@pytest.mark.parametrize(("qpm", "told"), [(44.0, True), (48.0, False), (80.0, True), (76.0, False)])
def test_a_line_at_another_tempo_is_told_by_itself(qpm: float, told: bool) -> None:
    """From 1.3 times slower or faster on (a choice, no source); the rest is then steady."""
    found = stretch(qpm, 22)
    assert bool(found.stretches) is told
    assert found.is_steady is False
    if told:
        (only,) = found.stretches
        assert only.qpm == pytest.approx(qpm)
        assert 66 <= only.first <= 76
        assert 86 <= only.last <= 96
        assert (found.qpm, found.slowest_qpm, found.fastest_qpm) == pytest.approx((60.0, 60.0, 60.0))


@pytest.mark.parametrize(("qpm", "most"), [(30.0, 9), (45.0, 19)])
def test_a_few_notes_at_another_tempo_are_no_stretch(qpm: float, most: int) -> None:
    """One held too long slows every window that it is in; the further off, the fewer notes make a stretch."""
    assert not stretch(qpm, most).stretches
    assert stretch(qpm, most + 1).stretches


def test_a_slow_line_and_a_fast_one_right_after_it_are_no_stretch() -> None:
    """Neither of them goes back to the tempo of the rest at both its ends."""
    assert not pace(beats(160, lambda note: {0: 40.0, 1: 90.0}.get((note - 70) // 22, 60.0))).stretches


def test_a_tempo_that_changes_by_and_by_is_no_stretch() -> None:
    """Before and after a stretch the tempo is that of the rest, within 15 % (a choice, no source)."""
    assert stretch(40.0, 22, before_qpm=53.0).stretches
    assert not stretch(40.0, 22, before_qpm=52.0).stretches


def test_tempo_is_said_in_what_the_tune_counts() -> None:
    """Dotted crotchets in a jig: 90 crotchets are 60 of them."""
    jig = tempo(90.0, 84.0, 96.0, Fraction(3, 8))
    assert jig.in_beats(90.0) == pytest.approx(60.0)
    assert pace_words(jig) == "60 dotted crotchets a minute, between 56 and 64"
    assert pace_words(tempo(84.0, 83.8, 84.2)) == "84 crotchets a minute throughout"
