"""The rounds of what is repeated: their order, and rests in which the pulse goes on.

Check values are arithmetic on the metre.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from companion.schedule.build import build_schedule
from companion.schedule.count_in import CountIn
from companion.schedule.events import Schedule
from companion.schedule.practice.rounds import Repeat, Rest, Turn, stretches
from companion.schedule.spans import Extent, Span
from companion.schedule.timing import Timing
from companion.score.model import COMMON_TIME, FREE, Tempo
from tests.companion.tune_building import notes, tune

CROTCHETS_AT_60 = Tempo(Fraction(1, 4), 60.0)
EIGHT = "A c e a A c e a"


def _schedule(free: bool = False, pick_up: bool = False) -> Schedule:
    bars = [*([notes("e e")] if pick_up else []), *[notes(EIGHT)] * 3]
    meter = FREE if free else COMMON_TIME
    return build_schedule(tune(*bars, meter=meter, tempo=CROTCHETS_AT_60, pick_up=pick_up), Timing())


def _rest(span: Span, rest: Rest, schedule: Schedule | None = None) -> CountIn:
    counted = Repeat((span,), rest).rounds(schedule or _schedule())[0].rest
    assert counted is not None
    return counted


def _told(count: CountIn) -> list[tuple[float, int]]:
    return [(round(beat.at_s, 6), beat.number) for beat in count.beats]


def test_a_rest_is_counted_up_to_where_the_stretch_begins() -> None:
    """A beat, a bar, or as many beats as the stretch has: here the second and third bars."""
    span = Span(4.0, 12.0)
    assert _told(_rest(span, Rest.BEAT)) == [(3.0, 4)]
    assert _told(_rest(span, Rest.BAR)) == [(0.0, 1), (1.0, 2), (2.0, 3), (3.0, 4)]
    assert [beat for beat, _ in _told(_rest(span, Rest.STRETCH))] == [float(at_s) for at_s in range(-4, 4)]


def test_a_rest_begins_with_its_first_beat() -> None:
    """There is no breath before it, as the beat is due when the round is over."""
    counted = _rest(Span(4.0, 8.0), Rest.BAR)
    assert (counted.begins_s, counted.length_s, counted.within) == (0.0, 4.0, True)


def test_without_a_rest_nothing_is_counted() -> None:
    """The next round follows at once."""
    (only,) = Repeat((Span(4.0, 8.0),)).rounds(_schedule())
    assert (only.rest, only.rest_s, only.whole_s) == (None, 0.0, 4.0)


@pytest.mark.parametrize(
    ("span", "rest", "rest_s"),
    [
        (Span(1.5, 3.0), Rest.BEAT, 1.5),  # ends on a beat, begins half a beat after one
        (Span(1.0, 3.5), Rest.BEAT, 1.5),  # ends half a beat after one
        (Span(1.5, 3.5), Rest.BEAT, 1.0),  # both: the pulse fits
        (Span(1.5, 3.0), Rest.STRETCH, 1.5),
        (Span(1.0, 3.0), Rest.BAR, 4.0),
    ],
)
def test_the_pulse_goes_on_where_a_stretch_ends_between_two_beats(span: Span, rest: Rest, rest_s: float) -> None:
    """The rest is as much longer as that needs."""
    counted = _rest(span, rest)
    assert counted.length_s == pytest.approx(rest_s)
    after_end = [span.end_s + beat.at_s - counted.begins_s for beat in counted.beats]
    assert [at_s % 1.0 for at_s in after_end] == pytest.approx([0.0] * len(after_end))


def test_a_stretch_from_a_pick_up_to_the_next_is_counted_from_its_own_beat() -> None:
    """From the fourth beat, over one to three, to the fourth."""
    assert [number for _, number in _told(_rest(Span(0.0, 4.0), Rest.BAR, _schedule(pick_up=True)))] == [4, 1, 2, 3]


def test_in_a_free_metre_a_bar_of_rest_has_four_beats() -> None:
    """Common practice, no source."""
    assert _rest(Span(4.0, 8.0), Rest.BAR, _schedule(free=True)).length_s == pytest.approx(4.0)


def test_an_echo_leaves_each_stretch_to_the_learner() -> None:
    """After the tool had it."""
    first, second = Span(0.0, 4.0), Span(4.0, 8.0)
    rounds = Repeat((first, second), echo=True).rounds(_schedule())
    assert [(each.span, each.turn, each.place) for each in rounds] == [
        (first, Turn.TOOL, 0),
        (first, Turn.LEARNER, 0),
        (second, Turn.TOOL, 1),
        (second, Turn.LEARNER, 1),
    ]


def test_all_stretches_of_an_extent_cover_the_tune() -> None:
    """In the order in which they are played."""
    built = tune(*[notes(EIGHT)] * 3, meter=COMMON_TIME, tempo=CROTCHETS_AT_60)
    schedule = build_schedule(built, Timing())
    bars = [(each.start_s, each.end_s) for each in stretches(built, schedule, Extent.BAR)]
    assert bars == [(0.0, 4.0), (4.0, 8.0), (8.0, 12.0)]
    assert [each.end_s for each in stretches(built, schedule, Extent.TUNE)] == [12.0]
    assert list(stretches(built, schedule, Extent.NOTHING)) == []
