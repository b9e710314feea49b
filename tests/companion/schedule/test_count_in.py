"""The beats that are counted before a tune starts.

Check values are arithmetic on the metre. That a full bar is counted and then what goes before a pick-up is common
practice, no source.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.schedule.build import build_schedule
from companion.schedule.count_in import BREATH_S, ON_THE_BEAT_S, CountIn, count_in
from companion.schedule.crossing import NamedTransition, crossing_schedule
from companion.schedule.events import Schedule
from companion.schedule.timing import Timing
from companion.score.model import COMMON_TIME, FREE, Meter, Tempo
from fingering.chart import chart
from fingering.crossings.transition import Transition
from fingering.notes import Note
from tests.companion.tune_building import notes, tune

CROTCHETS_AT_60 = Tempo(Fraction(1, 4), 60.0)
EIGHT = "A A A A A A A A"


def _counted(schedule: Schedule, place_s: float) -> CountIn:
    found = count_in(schedule, place_s)
    assert found is not None
    return found


def _told(count: CountIn) -> list[tuple[float, int]]:
    return [(round(beat.at_s, 6), beat.number) for beat in count.beats]


def _bars(text: str, many: int, meter: Meter, tempo: Tempo = CROTCHETS_AT_60, timing: Timing | None = None) -> Schedule:
    return build_schedule(tune(*[notes(text)] * many, meter=meter, tempo=tempo), timing or Timing())


def test_a_tune_is_counted_in_by_one_bar() -> None:
    """Four crotchets of a second each in 4/4, the last of them a second before the tune, which starts on the one."""
    count = _counted(_bars(EIGHT, 1, COMMON_TIME), 0.0)
    assert _told(count) == [(-4.0, 1), (-3.0, 2), (-2.0, 3), (-1.0, 4)]
    assert (count.starts_on, count.bar_beats, count.begins_s) == (1, 4, -4.0 - BREATH_S)


@pytest.mark.parametrize(
    ("meter", "beat", "beats"),
    [
        (Meter(2, 4, "2/4"), Fraction(1, 4), 2),
        (Meter(3, 4, "3/4"), Fraction(1, 4), 3),
        (Meter(6, 8, "6/8"), Fraction(3, 8), 2),
        (Meter(9, 8, "9/8"), Fraction(3, 8), 3),
        (Meter(12, 8, "12/8"), Fraction(3, 8), 4),
        (Meter(2, 2, "C|"), Fraction(1, 2), 2),
        (Meter(5, 8, "2+3/8"), Fraction(1, 8), 5),
    ],
)
def test_every_metre_is_counted_in_its_pulse(meter: Meter, beat: Fraction, beats: int) -> None:
    """As the metronome has it: dotted crotchets in 6/8, 9/8 and 12/8, minims in cut time."""
    bar = notes(" ".join(["A"] * (8 * meter.beats // meter.unit)))
    schedule = build_schedule(tune(bar, meter=meter, tempo=Tempo(beat, 60.0)), Timing())
    assert _told(_counted(schedule, 0.0)) == [(float(rank - beats), rank + 1) for rank in range(beats)]


def test_a_pick_up_falls_where_it_belongs() -> None:
    """A crotchet before the bar in 4/4: "1 2 3 4 1 2 3", and the tune starts on the four."""
    schedule = build_schedule(
        tune(notes("A A"), notes(EIGHT), meter=COMMON_TIME, tempo=CROTCHETS_AT_60, pick_up=True), Timing()
    )
    count = _counted(schedule, 0.0)
    assert [number for _, number in _told(count)] == [1, 2, 3, 4, 1, 2, 3]
    assert (_told(count)[-1][0], count.starts_on) == (-1.0, 4)


def test_a_pick_up_of_half_a_beat_comes_between_two() -> None:
    """A quaver in 2/4: "1 2 1 2", the last half a second before it, and the tune's own beat half a second after."""
    schedule = build_schedule(tune(notes("e"), notes("A A A A"), tempo=CROTCHETS_AT_60, pick_up=True), Timing())
    count = _counted(schedule, 0.0)
    assert _told(count) == [(-3.5, 1), (-2.5, 2), (-1.5, 1), (-0.5, 2)]
    assert count.starts_on is None
    assert schedule.beats[0].at_s == 0.5


def test_the_second_half_of_a_bar_parted_by_a_repeat_is_counted_as_that() -> None:
    """Three quavers end the first part, one begins the next: its bar has begun before it."""
    march = tune(notes("A A A A"), notes("A A A"), notes("e"), notes("A A A A"), tempo=CROTCHETS_AT_60)
    count = _counted(build_schedule(march, Timing()), 3.5)
    assert [number for _, number in _told(count)] == [1, 2, 1, 2]
    assert count.beats[-1].at_s == pytest.approx(3.0)


def test_within_a_tune_it_is_counted_in_from_its_own_beats() -> None:
    """From the third beat of the second bar, and from between it and the fourth."""
    schedule = _bars(EIGHT, 3, COMMON_TIME)
    on_it = _counted(schedule, 6.0)
    assert _told(on_it) == [(0.0, 1), (1.0, 2), (2.0, 3), (3.0, 4), (4.0, 1), (5.0, 2)]
    assert on_it.starts_on == 3
    between = _counted(schedule, 6.4)
    assert _told(between) == [*_told(on_it), (6.0, 3)]
    assert between.starts_on is None


def test_a_bar_that_is_looped_is_counted_in_by_one_bar() -> None:
    """Its own, ahead of it."""
    assert _told(_counted(_bars(EIGHT, 3, COMMON_TIME), 4.0)) == [(0.0, 1), (1.0, 2), (2.0, 3), (3.0, 4)]


def test_the_metre_and_the_tempo_are_those_of_the_place() -> None:
    """A second bar that is twice as fast is counted in twice as fast, though the one before it was slower."""
    two = tune(*[notes("A A A A")] * 2, tempo=CROTCHETS_AT_60, tempos=(CROTCHETS_AT_60, Tempo(Fraction(1, 4), 120.0)))
    schedule = build_schedule(two, Timing())
    assert _told(_counted(schedule, 2.0)) == [(1.0, 1), (1.5, 2)]
    assert _told(_counted(schedule, 1.0)) == [(-2.0, 1), (-1.0, 2), (0.0, 1)]


def test_it_is_as_slow_as_the_tune() -> None:
    """Twice as slow, and at half the tempo: four seconds a beat."""
    schedule = _bars("A A A A", 1, Meter(2, 4, "2/4"), timing=Timing(beats_per_minute=30.0, slow_down=2.0))
    assert _told(_counted(schedule, 0.0)) == [(-8.0, 1), (-4.0, 2)]


def test_a_place_a_hair_off_a_beat_is_on_it() -> None:
    """Loops are rounded to whole frames: no beat is counted twice, none is left out."""
    schedule = _bars(EIGHT, 2, COMMON_TIME)
    for off_s in (-0.4e-3, 0.0, 0.4e-3):
        count = _counted(schedule, 4.0 + off_s)
        assert len(count.beats) == 4
        assert count.starts_on == 1


@pytest.mark.parametrize("slow_down", [1.0, 6.0, 6.1, 32.0])
def test_what_no_ear_can_follow_is_not_counted(slow_down: float) -> None:
    """Beats of more than six seconds: fewer than ten a minute, and no metronome has so few."""
    found = count_in(_bars("A A A A", 1, Meter(2, 4, "2/4"), timing=Timing(slow_down=slow_down)), 0.0)
    assert (found is not None) == (slow_down <= 6.0)


def test_nothing_is_counted_where_there_is_no_bar() -> None:
    """In a free metre, in a tune without bars, and before a single crossing."""
    assert count_in(_bars("A A A", 1, FREE), 0.0) is None
    assert count_in(build_schedule(tune(), Timing()), 0.0) is None
    named = NamedTransition(Transition(chart(Note.D), chart(Note.E)), Note.D, Note.E)
    assert count_in(crossing_schedule(named, {}), 0.0) is None


@given(st.floats(0.0, 12.0), st.sampled_from([2, 3, 4, 6, 9]), st.floats(20.0, 300.0))
def test_wherever_it_starts_the_beats_go_on_into_the_tune(share: float, quavers: int, tempo: float) -> None:
    """All beats, the count's and the tune's next one, are equally far apart; a whole bar at least is counted, and less
    than two and a beat; the first is a one.
    """
    meter = Meter(quavers, 8, f"{quavers}/8")
    bar = " ".join(["A"] * quavers)
    schedule = _bars(bar, 4, meter, Tempo(meter.beat_length, tempo))
    place_s = share / 12.0 * schedule.duration_s
    count = _counted(schedule, place_s)
    following = next((beat.at_s for beat in schedule.beats if beat.at_s >= place_s - ON_THE_BEAT_S), None)
    times = [beat.at_s for beat in count.beats] + ([] if following is None else [following])
    for before, after in pairwise(times):
        assert after - before == pytest.approx(60.0 / tempo, abs=1e-6)
    assert count.beats[0].number == 1
    assert count.bar_beats <= len(count.beats) <= 2 * count.bar_beats
    assert all(beat.at_s < place_s for beat in count.beats)
    numbers = [beat.number for beat in count.beats]
    assert numbers == [rank % count.bar_beats + 1 for rank in range(len(numbers))]
