"""The stretch of a tune that is repeated: the same notes in any timing and in any setting of the tune."""

from __future__ import annotations

import pytest

from companion.schedule.build import build_schedule
from companion.schedule.events import EventKind
from companion.schedule.spans import Extent, Span, span_around
from companion.schedule.stretch import Stretch, events_in, stretch_in_setting, stretch_of
from companion.schedule.timing import Gracing, Timing
from companion.score.performance import performance
from companion.score.setting import Change, in_setting
from fingering.notes import Note
from tests.companion.listen.playing import tune_of

TUNE = tune_of("A2{g}B2c2d2|{GdG}e2f2e2{gef}e2|{d}c2B2A2B2|")
"""The second bar begins with a grip, which comes before the beat (common practice, no source)."""

TIMINGS = (Timing(), Timing(beats_per_minute=90.0, slow_down=4.0, gracing=Gracing.CRISP))


@pytest.mark.parametrize("timing", TIMINGS)
def test_a_bar_is_its_notes_and_what_comes_before_its_beat_belongs_to_the_bar_before(timing: Timing) -> None:
    schedule = build_schedule(TUNE, timing)
    span = span_around(TUNE, schedule, schedule.note_onsets_s[5], Extent.BAR)
    assert span is not None
    assert stretch_of(schedule, span) == Stretch(4, 8, led_onto=False)


@pytest.mark.parametrize("timing", TIMINGS)
def test_gracenotes_that_begin_within_the_span_belong_to_it(timing: Timing) -> None:
    schedule = build_schedule(TUNE, timing)
    grip = next(event for event in schedule.events if event.played == 4)
    assert stretch_of(schedule, Span(grip.start_s, schedule.note_onsets_s[8])) == Stretch(4, 8)


def test_all_of_a_tune_is_no_stretch_of_it() -> None:
    schedule = build_schedule(TUNE, Timing())
    whole = span_around(TUNE, schedule, 0.0, Extent.TUNE)
    assert whole is not None
    assert stretch_of(schedule, whole) is None
    assert stretch_of(schedule, Span(0.1, 0.2)) is None


def test_its_events_end_with_the_gracenotes_onto_what_follows() -> None:
    """Where a bar is repeated they sound before it begins again."""
    schedule = build_schedule(TUNE, Timing())
    events = [schedule.events[rank] for rank in events_in(schedule, Stretch(0, 4))]
    assert [event.note.letter for event in events] == ["A", "g", "B", "c", "d", "G", "d", "G"]
    assert [event.played for event in events if event.kind is EventKind.GRACENOTE] == [1, 4, 4, 4]
    led = [schedule.events[rank] for rank in events_in(schedule, Stretch(4, 8))]
    alone = [schedule.events[rank] for rank in events_in(schedule, Stretch(4, 8, led_onto=False))]
    assert [event.note.letter for event in led[:4]] == ["G", "d", "G", "e"]
    assert alone == led[3:]


def test_in_another_setting_it_is_the_same_notes_though_notes_were_added_before_and_within() -> None:
    first, second = TUNE.bars[0].notes[1], TUNE.bars[1].notes[1]
    setting = tuple(
        Change(note.rank, note.note, note.note, note.gracenotes, (Note.D, Note.E))
        for note in (first, second)
        if note.note is not None
    )
    stretch = stretch_in_setting(TUNE, setting, Stretch(4, 8, led_onto=False))
    assert stretch == Stretch(6, 12, led_onto=False)
    played = performance(in_setting(TUNE, setting))
    assert {played[rank].turn for rank in stretch.notes} == {1}
