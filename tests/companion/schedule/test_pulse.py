"""The parts of a beat, between the beats of the tune and of its count-in.

Check values are arithmetic on the metre: three parts of a dotted beat, two of a plain one.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from companion.schedule.bars import Accent, Ticking, parts_of_beat
from companion.schedule.build import build_schedule
from companion.schedule.count_in import count_in, ticks_of
from companion.schedule.events import Schedule
from companion.schedule.timing import Timing
from companion.score.model import COMMON_TIME, FREE, Meter, Tempo
from tests.companion.tune_building import notes, tune

SIX_EIGHT, TWO_FOUR, CUT = Meter(6, 8, "6/8"), Meter(2, 4, "2/4"), Meter(2, 2, "C|")
MARKS = {Accent.BAR: "1", Accent.BEAT: "b", Accent.PART: "."}


def _heard(schedule: Schedule, pulse: Ticking) -> str:
    return "".join(MARKS[tick.accent] for tick in ticks_of(schedule, pulse))


def _bars(text: str, meter: Meter, tempo: Tempo, slow_down: float = 1.0) -> Schedule:
    return build_schedule(tune(*[notes(text)] * 2, meter=meter, tempo=tempo), Timing(slow_down=slow_down))


def test_a_jig_has_three_parts_a_beat() -> None:
    """The dotted crotchet with its three quavers, the first of the bar marked."""
    jig = _bars("A A A A A A", SIX_EIGHT, Tempo(Fraction(3, 8), 80.0))
    assert _heard(jig, Ticking.PARTS) == "1..b.." * 2
    assert _heard(jig, Ticking.BEATS) == "1b" * 2
    quaver_s = 60.0 / 80.0 / 3.0
    assert [tick.at_s for tick in ticks_of(jig, Ticking.PARTS)] == pytest.approx([quaver_s * i for i in range(12)])


@pytest.mark.parametrize(("meter", "text"), [(TWO_FOUR, "A A A A"), (CUT, "A A A A A A A A")])
def test_simple_time_has_two_parts_a_beat(meter: Meter, text: str) -> None:
    """Two quavers, or two crotchets in cut time."""
    assert _heard(_bars(text, meter, Tempo(meter.beat_length, 90.0)), Ticking.PARTS) == "1.b." * 2


def test_a_slow_beat_has_twice_as_many() -> None:
    """Where its parts would come no closer than a second."""
    assert [parts_of_beat(TWO_FOUR, beat_s) for beat_s in (0.5, 1.99, 2.0)] == [2, 2, 4]
    assert [parts_of_beat(SIX_EIGHT, beat_s) for beat_s in (0.5, 2.99, 3.0)] == [3, 3, 6]
    slowed = _bars("A A A A", TWO_FOUR, Tempo(Fraction(1, 4), 60.0), slow_down=2.0)
    assert _heard(slowed, Ticking.PARTS) == "1...b..." * 2


def test_a_pick_up_has_the_parts_that_are_left_of_its_beat() -> None:
    """A quaver before the bar line stands on the second part of the last beat."""
    march = tune(notes("e"), notes("A A A A"), meter=TWO_FOUR, tempo=Tempo(Fraction(1, 4), 60.0), pick_up=True)
    assert _heard(build_schedule(march, Timing()), Ticking.PARTS) == ".1.b."


def test_a_free_metre_has_its_crotchets_in_two() -> None:
    """As it is counted in crotchets."""
    air = build_schedule(tune(notes("A A A A"), meter=FREE, tempo=Tempo(Fraction(1, 4), 90.0)), Timing())
    assert _heard(air, Ticking.PARTS) == "1.b."


def test_the_count_in_has_the_same_parts() -> None:
    """Four beats of two parts each, and the tune's own go on from them."""
    schedule = _bars("A A A A A A A A", COMMON_TIME, Tempo(Fraction(1, 4), 120.0))
    count = count_in(schedule, 0.0)
    assert count is not None
    joined = count.joined_to(ticks_of(schedule, Ticking.PARTS), Ticking.PARTS)
    assert "".join(MARKS[tick.accent] for tick in joined) == "1.b.b.b." * 3
    assert [tick.at_s for tick in joined] == pytest.approx([-2.0 + 0.25 * i for i in range(24)])
    assert "".join(MARKS[tick.accent] for tick in count.joined_to(schedule.beats)) == "1bbb" * 3
