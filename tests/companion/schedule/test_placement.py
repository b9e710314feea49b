"""Where gracenotes stand in time: before the beat or on it, and how much they may take."""

from __future__ import annotations

from fractions import Fraction
from types import MappingProxyType

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.schedule.build import build_schedule
from companion.schedule.events import Event, EventKind, Schedule
from companion.schedule.timing import Gracing, Placement, Timing
from companion.score.model import MelodyNote, Tempo, Tune
from fingering.embellishments import Family
from fingering.notes import Note
from tests.companion.tune_building import note, notes, tune

pytestmark = pytest.mark.same_everywhere

CROTCHETS_AT_60 = Tempo(Fraction(1, 4), 60.0)
GRACENOTE_S = Timing().gracenote_s


def _two_notes(second: str) -> Tune:
    return tune(notes(f"A {second}"), tempo=CROTCHETS_AT_60)


def _graces(schedule: Schedule) -> list[Event]:
    return [event for event in schedule.events if event.kind is EventKind.GRACENOTE]


@pytest.mark.parametrize(
    ("words", "family"),
    [
        ("GdG:c", Family.GRIP),
        ("GdGe:A", Family.TAORLUATH),
        ("GdGeAfA:e", Family.CRUNLUATH),
    ],
)
def test_grips_taorluaths_and_crunluaths_end_on_the_beat(words: str, family: Family) -> None:
    """They come before the beat, so that the melody note lands on it: common practice, no source."""
    schedule = build_schedule(_two_notes(words), Timing())
    embellishment = schedule.embellishments[1]
    assert embellishment is not None
    assert embellishment.family is family
    graces = _graces(schedule)
    assert graces[-1].end_s == pytest.approx(schedule.note_onsets_s[1])
    assert graces[0].start_s == pytest.approx(schedule.note_onsets_s[1] - sum(e.end_s - e.start_s for e in graces))


@pytest.mark.parametrize("words", ["g:c", "gcd:c", "cd:c", "acd:c", "gcG:c", "Gdc:d", "gAGAG:A"])
def test_single_gracenotes_doublings_throws_and_birls_begin_on_the_beat(words: str) -> None:
    """Their first gracenote has the melody note's own onset: common practice, no source."""
    schedule = build_schedule(_two_notes(words), Timing())
    assert _graces(schedule)[0].start_s == schedule.note_onsets_s[1]


@pytest.mark.parametrize("placement", list(Placement))
def test_placement_of_a_family_is_a_setting(placement: Placement) -> None:
    """Any family can be put before the beat or on it."""
    placements = {**Timing().placements, Family.DOUBLING: placement}
    schedule = build_schedule(_two_notes("gcd:c"), Timing(placements=MappingProxyType(placements)))
    first, last, onset = _graces(schedule)[0].start_s, _graces(schedule)[-1].end_s, schedule.note_onsets_s[1]
    assert (last if placement is Placement.BEFORE else first) == pytest.approx(onset)


def test_the_first_note_has_nothing_before_it_to_borrow_from() -> None:
    """A taorluath that opens a tune begins on the beat."""
    schedule = build_schedule(tune(notes("GdGe:A c")), Timing())
    assert schedule.events[0].kind is EventKind.GRACENOTE
    assert schedule.events[0].start_s == 0.0


def test_the_melody_keeps_its_time_whatever_the_gracenotes_do() -> None:
    """Onsets are those of the written lengths: four quavers at a crotchet a second are half a second apart."""
    schedule = build_schedule(tune(notes("A GdGe:A gcd:c e"), tempo=CROTCHETS_AT_60), Timing())
    assert schedule.note_onsets_s == pytest.approx((0.0, 0.5, 1.0, 1.5))
    assert schedule.duration_s == pytest.approx(2.0)


def test_gracenote_lengths_within_a_group_are_relative() -> None:
    """A gracenote written twice as long lasts twice as long."""
    plain = note("c", graces="gcd")
    long_first = plain._replace(grace_lengths=(Fraction(2), Fraction(1), Fraction(1)))
    schedule = build_schedule(tune([long_first]), Timing())
    lengths = [event.end_s - event.start_s for event in _graces(schedule)]
    assert lengths == pytest.approx([2 * GRACENOTE_S, GRACENOTE_S, GRACENOTE_S])


def test_stretch_slows_gracenotes_with_the_melody() -> None:
    """At slow-down 8 everything is 8 times as long."""
    timings = (Timing(), Timing(slow_down=8.0))
    fast, slow = (build_schedule(_two_notes("GdGe:A"), timing) for timing in timings)
    assert [e.start_s for e in slow.events] == pytest.approx([8.0 * e.start_s for e in fast.events])
    assert slow.duration_s == pytest.approx(8.0 * fast.duration_s)


def test_crisp_slows_the_melody_only() -> None:
    """At slow-down 8 the notes are 8 times as long, the gracenotes as short as ever and still on their beat."""
    slow = build_schedule(_two_notes("GdGe:A"), Timing(slow_down=8.0, gracing=Gracing.CRISP))
    assert slow.note_onsets_s == pytest.approx((0.0, 4.0))
    graces = _graces(slow)
    assert [e.end_s - e.start_s for e in graces] == pytest.approx([GRACENOTE_S] * 4)
    assert graces[-1].end_s == pytest.approx(4.0)


letters = st.sampled_from([each.letter for each in Note])
groups = st.lists(letters, max_size=8).map("".join)
durations = st.fractions(min_value=Fraction(1, 64), max_value=Fraction(1), max_denominator=64)
bars = st.lists(st.builds(note, st.one_of(letters, st.just("z")), durations, groups), min_size=1, max_size=12)
timings = st.builds(
    Timing,
    beats_per_minute=st.floats(10.0, 400.0),
    slow_down=st.floats(1.0, 32.0),
    gracing=st.sampled_from(Gracing),
    max_share=st.floats(0.1, 0.9),
    placements=st.fixed_dictionaries({family: st.sampled_from(Placement) for family in Family}),
)


@given(bars, timings)
@settings(max_examples=150)
def test_gracenotes_never_take_more_than_their_share(bar: list[MelodyNote], timing: Timing) -> None:
    """Of every note at least 1 - max_share is left, and events follow each other without gaps or overlaps."""
    schedule = build_schedule(tune(bar), timing)
    ends = (*schedule.note_onsets_s[1:], schedule.duration_s)
    for event in schedule.events:
        assert event.end_s > event.start_s
        if event.kind is not EventKind.GRACENOTE:
            full_s = ends[event.played] - schedule.note_onsets_s[event.played]
            assert event.end_s - event.start_s >= (1.0 - timing.max_share) * full_s * (1.0 - 1e-9)
    starts, stops = [e.start_s for e in schedule.events], [e.end_s for e in schedule.events]
    assert stops[:-1] == pytest.approx(starts[1:])
    assert (starts[0], stops[-1]) == pytest.approx((0.0, schedule.duration_s))
