"""What a take's heading tells, as text."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, datetime

import pytest

from companion.files.kept_json import Unfit
from companion.midi.maps.note_map import DEFAULT_MAP
from companion.midi.takes.heading import LONGEST_TOLD_S, Heading, TuneIdentity, heading_from_text, heading_to_text
from companion.schedule.stretch import Stretch
from companion.schedule.timing import Gracing, Timing

HEADING = Heading(
    datetime(2026, 1, 2, 20, 15, 3, tzinfo=UTC),
    "Chanter:MIDI",
    DEFAULT_MAP,
    TuneIdentity("One", "one.abc", "1", "f00d"),
    Timing(beats_per_minute=66.0, slow_down=2.0, gracing=Gracing.CRISP),
    Stretch(0, 12, led_onto=False),
)


@pytest.mark.parametrize("metronome", [False, True])
def test_whether_a_metronome_kept_the_time_is_told(metronome: bool) -> None:
    """With all the rest: the heading reads back as it was."""
    heading = replace(HEADING, metronome=metronome)
    assert heading_from_text(heading_to_text(heading).encode(), tempo_s=heading.crotchet_s) == heading


def test_an_older_take_tells_of_no_metronome() -> None:
    """Its learner's own pulse is what it is judged by."""
    data = json.loads(heading_to_text(replace(HEADING, metronome=True)))
    del data["metronome"]
    assert not heading_from_text(json.dumps(data).encode(), tempo_s=0.5).metronome


def test_a_crotchet_is_told_where_the_tempo_of_a_file_cannot() -> None:
    """Beyond 16.777215 s, three bytes of microseconds (Standard MIDI Files 1.0); within it the tempo alone tells it."""
    assert pytest.approx(16.777215) == LONGEST_TOLD_S
    for crotchet_s, told in ((0.5, False), (LONGEST_TOLD_S, False), (64.0, True), (614_400.0, True)):
        heading = replace(HEADING, crotchet_s=crotchet_s)
        text = heading_to_text(heading)
        assert ("crotchet_s" in json.loads(text)) == told
        assert heading_from_text(text.encode(), tempo_s=min(crotchet_s, LONGEST_TOLD_S)) == heading


def test_a_heading_without_a_time_zone_is_refused() -> None:
    """Nobody could tell when it was."""
    with pytest.raises(Unfit, match="time zone"):
        heading_from_text(heading_to_text(replace(HEADING, began=datetime(2026, 1, 2))).encode(), tempo_s=0.5)


def test_a_learner_of_a_class_is_told_and_nobody_elsewhere() -> None:
    """Takes from outside of a class read and are written as before there were classes."""
    heading = replace(HEADING, learner="Anna")
    text = heading_to_text(heading)
    assert heading_from_text(text.encode(), tempo_s=heading.crotchet_s) == heading
    assert heading.shown_source == "Anna, Chanter:MIDI"
    assert "learner" not in json.loads(heading_to_text(HEADING))


@pytest.mark.parametrize("starts_s", [0.0, 1.25, -3.0])
def test_where_a_take_begins_in_its_sound_is_told_and_nothing_of_a_take_without_one(starts_s: float) -> None:
    """A take of before there were microphones reads and is written as ever."""
    heading = replace(HEADING, sound_starts_s=starts_s)
    assert heading_from_text(heading_to_text(heading).encode(), tempo_s=heading.crotchet_s) == heading
    assert "sound_starts_s" not in json.loads(heading_to_text(HEADING))


def test_what_a_later_program_tells_besides_is_passed_over() -> None:
    """So a program of before there was sound reads takes that have it."""
    data = {**json.loads(heading_to_text(HEADING)), "sound_in_the_round": True}
    assert heading_from_text(json.dumps(data).encode(), tempo_s=HEADING.crotchet_s) == HEADING
