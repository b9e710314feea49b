"""On what terms a take was asked for."""

from __future__ import annotations

import pytest

from companion.listen.model.asked import ask_for
from companion.listen.model.terms import AT_SPEED, TakeTerms
from companion.schedule.timing import Gracing, Timing
from tests.companion.listen.playing import FOUR_BARS, tune_of

TUNE = tune_of(FOUR_BARS)
"""At 60 crotchets a minute."""


def test_playing_along_at_the_tunes_own_tempo_is_the_plain_case() -> None:
    """Nothing slowed, no metronome, all of the tune."""
    assert TakeTerms.of(TUNE, Timing(), metronome=False) == AT_SPEED


@pytest.mark.parametrize(("gracing", "slowed"), [(Gracing.STRETCH, 4.0), (Gracing.CRISP, 1.0)])
def test_gracenotes_are_slowed_with_the_melody_or_not(gracing: Gracing, slowed: float) -> None:
    """A tempo that is asked for never touches them."""
    terms = TakeTerms.of(TUNE, Timing(beats_per_minute=30.0, slow_down=4.0, gracing=gracing), metronome=False)
    assert terms == TakeTerms(times_slower=8.0, gracenotes_slowed=slowed)


@pytest.mark.parametrize(
    ("tempo", "slow_down", "kept"), [(60.0, 1.0, 60.0), (60.0, 6.0, 10.0), (60.0, 6.1, None), (400.0, 1.0, 400.0)]
)
def test_a_metronome_slower_than_any_keeps_no_time(tempo: float, slow_down: float, kept: float | None) -> None:
    """From 10 beats a minute, the least that the program has for a tempo, it does; the slow-down counts."""
    timing = Timing(beats_per_minute=tempo, slow_down=slow_down)
    assert TakeTerms.of(TUNE, timing, metronome=True).metronome_bpm == kept
    assert TakeTerms.of(TUNE, timing, metronome=False).metronome_bpm is None


def test_a_metronome_faster_than_any_keeps_no_time() -> None:
    """A tune may ask for 500 beats a minute: its player's own pulse is heard."""
    fast = tune_of(FOUR_BARS, "1/8=500")
    assert TakeTerms.of(fast, Timing(), metronome=True).metronome_bpm is None
    assert TakeTerms.of(fast, Timing(slow_down=2.0), metronome=True).metronome_bpm == 250.0


@pytest.mark.parametrize(
    ("terms", "slowed"), [(AT_SPEED, 1.0), (TakeTerms(32.0), 32.0), (TakeTerms(2.0, metronome_bpm=30.0), 1.0)]
)
def test_what_is_to_be_heard_is_timed_as_slowly_as_it_was_asked_for(terms: TakeTerms, slowed: float) -> None:
    """Against a metronome the schedule itself is as slow."""
    asked = ask_for(TUNE, terms)
    last = asked.tokens[-1]
    assert last.end_s == pytest.approx(slowed * asked.schedule.duration_s)
    assert asked.schedule.duration_s == pytest.approx(32.0 if terms.metronome_bpm else 16.0)
