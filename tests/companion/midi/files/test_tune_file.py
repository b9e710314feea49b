"""A tune as a Standard MIDI File sounds as it is played, gracenotes at their times."""

from __future__ import annotations

import io
from fractions import Fraction
from typing import Any

import mido
import pytest
from hypothesis import given, settings

from companion.midi.files.tune_file import BAGPIPE, midi_of
from companion.midi.stream.messages import NoteOff, NoteOn
from companion.midi.takes.standard_file import MidiContents, read_midi
from companion.schedule.build import build_schedule
from companion.schedule.events import EventKind
from companion.schedule.timing import Gracing, Timing
from companion.score.bundled import real_tunes
from companion.score.model import Meter, Tune
from companion.score.tune_set import joined
from tests.companion.score.generated import tunes
from tests.companion.score.reading import tune_of

TICK_S = 0.002
"""Two ticks at the slowest tempo of these tests: what rounding may move a note by."""

TIMINGS = (Timing(), Timing(slow_down=2.0), Timing(slow_down=3.0, gracing=Gracing.CRISP), Timing(beats_per_minute=97.0))


def written(tune: Tune, timing: Timing = TIMINGS[0]) -> MidiContents:
    """What our own reader finds in the file."""
    return read_midi(midi_of(tune, timing), "t.mid")


def metas(tune: Tune, kind: str, timing: Timing = TIMINGS[0]) -> list[Any]:
    """The meta events of one kind, as mido reads them: an independent reader."""
    file = mido.MidiFile(file=io.BytesIO(midi_of(tune, timing)), charset="utf-8")
    return [message for track in file.tracks for message in track if message.type == kind]


def assert_as_played(tune: Tune, timing: Timing) -> None:
    """Each note and gracenote begins when the schedule has it, and ends when the next begins."""
    contents, schedule = written(tune, timing), build_schedule(tune, timing)
    events = [event for event in schedule.events if event.kind is not EventKind.REST]
    begun = [(each.at_s, each.message.number) for each in contents.messages if isinstance(each.message, NoteOn)]
    ended = [(each.at_s, each.message.number) for each in contents.messages if isinstance(each.message, NoteOff)]
    room = TICK_S * timing.slow_down
    assert [number for _, number in begun] == [event.note.midi for event in events]
    assert [at for at, _ in begun] == pytest.approx([event.start_s for event in events], abs=room)
    assert sorted(at for at, _ in ended) == pytest.approx(sorted(event.end_s for event in events), abs=room)
    assert contents.end_s == pytest.approx(schedule.duration_s, abs=room)


@pytest.mark.parametrize("timing", TIMINGS, ids=["as written", "slow", "crisp", "faster"])
def test_our_tunes_sound_as_they_are_played(timing: Timing) -> None:
    """With repeats unfolded, at the tune's tempo, slower, and at another."""
    for tune in real_tunes():
        assert_as_played(tune, timing)


@pytest.mark.same_everywhere
@settings(max_examples=12)
@given(tunes())
def test_any_tune_sounds_as_it_is_played(text: str) -> None:
    """Rests are silent; ties, tuplets and plans are followed."""
    assert_as_played(tune_of(text), Timing(beats_per_minute=120.0))


def test_the_melody_lasts_as_long_as_it_is_written() -> None:
    """From the files alone, without our schedule: each written length in crotchets, at 60 a minute."""
    tune = tune_of("M:4/4\nL:1/4\nQ:1/4=60\nK:HP\nA/B3/2c2|d4|")
    begun = [each.at_s for each in written(tune).messages if isinstance(each.message, NoteOn)]
    assert begun == pytest.approx([0.0, 0.5, 2.0, 4.0])
    assert written(tune).end_s == pytest.approx(8.0)


def test_the_nine_notes_have_the_numbers_of_the_default_map() -> None:
    """Low A is 69, C and F are sharp: as they are written for the pipes, and as instruments are understood first."""
    tune = tune_of("M:none\nL:1/8\nK:HP\nGABcdefga|")
    numbers = [each.message.number for each in written(tune).messages if isinstance(each.message, NoteOn)]
    assert numbers == [67, 69, 71, 73, 74, 76, 78, 79, 81]


def test_title_metre_tempo_and_instrument_are_told() -> None:
    """As meta events; a change of metre or tempo stands where its bar begins."""
    tune = tune_of("X:1\nT:Café\nM:6/8\nL:1/8\nQ:3/8=60\nK:HP\nA6|\nM:2/4\nQ:1/4=120\nB4|\n")
    assert metas(tune, "track_name")[0].name == "Café"
    assert [(each.numerator, each.denominator) for each in metas(tune, "time_signature")] == [(6, 8), (2, 4)]
    assert [each.tempo for each in metas(tune, "set_tempo")] == [666_667, 500_000]
    assert [each.program for each in metas(tune, "program_change")] == [BAGPIPE]


def test_a_slow_down_is_told_as_a_slower_tempo() -> None:
    """So that a program that shows bars shows them rightly."""
    tune = tune_of("M:2/4\nL:1/4\nQ:1/4=60\nK:HP\nAB|")
    assert [each.tempo for each in metas(tune, "set_tempo", Timing(slow_down=2.0))] == [2_000_000]


def test_a_set_of_tunes_keeps_each_tunes_tempo() -> None:
    """The joined tunes are one file."""
    tunes = [tune_of(f"M:2/4\nL:1/4\nQ:1/4={rate}\nK:HP\nAB|") for rate in (60, 120)]
    assert [each.tempo for each in metas(joined(tunes), "set_tempo")] == [1_000_000, 500_000]


def test_a_metre_that_midi_cannot_tell_is_left_out() -> None:
    """A free one; the notes are there."""
    tune = tune_of("M:none\nL:1/8\nK:HP\nAB|")
    assert tune.meter == Meter(0, 4, "none")
    assert metas(tune, "time_signature") == []
    assert Fraction(len(metas(tune, "note_on"))) == 2
