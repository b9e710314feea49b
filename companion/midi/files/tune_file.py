"""Writes a tune as a Standard MIDI File (RP-001): format 1, with gracenotes at the times at which they are played."""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import accumulate

import mido

from companion.midi.maps.note_map import DEFAULT_MAP
from companion.schedule.bars import TimedBar
from companion.schedule.build import build_schedule
from companion.schedule.events import EventKind, Schedule
from companion.schedule.timing import Timing
from companion.score.model import Meter, Tune

TICKS_PER_CROTCHET = 960
"""A tick is 1 ms at 62 crotchets a minute; halves, thirds, quarters and fifths of a crotchet are whole numbers."""

BAGPIPE = 109  # General MIDI Level 1 programme 110, counted from 0: from memory
VELOCITY = 100
CHANNEL = 0
_PER_WHOLE = 4 * TICKS_PER_CROTCHET
_MICROSECONDS = 1_000_000
_SLOWEST_US = 0xFFFFFF
_LARGEST_COUNT = 255

_Timed = tuple[int, int, mido.Message | mido.MetaMessage]
"""A tick; where it stands among those of the same tick; the message."""


def midi_of(tune: Tune, timing: Timing) -> bytes:
    """The bytes of a MIDI file of the tune as it is played, its repeats, endings and plan of parts unfolded.

    The nine notes are numbered as they are written for the pipes, which is how instruments are understood too: low A
    is 69, C and F are sharp. Gracenotes sound at their own times, before or on the beat, at the tempo of `timing`.
    """
    schedule = build_schedule(tune, timing)
    clock = _Ticks(schedule.bars)
    file = mido.MidiFile(type=1, ticks_per_beat=TICKS_PER_CROTCHET, charset="utf-8")
    file.tracks.append(_track(_conducting(tune, clock), clock.end))
    file.tracks.append(_track(_playing(schedule, clock), clock.end))
    stream = io.BytesIO()
    file.save(file=stream)
    return stream.getvalue()


class _Ticks:
    """Turns seconds of a schedule into ticks: within each bar they pass at its tempo."""

    def __init__(self, bars: Sequence[TimedBar]) -> None:
        self.bars = bars
        self.begins = [_ticks(at) for at in accumulate((bar.length for bar in bars), initial=Fraction(0))]

    @property
    def end(self) -> int:
        """The tick at which the tune ends."""
        return self.begins[-1]

    def at(self, time_s: float, after: int = 0) -> tuple[int, int]:
        """The tick of a time, and the bar that it lies in, which is none before bar `after`."""
        i = after
        while i + 1 < len(self.bars) and time_s >= self.bars[i + 1].start_s - 1e-9:
            i += 1
        while i and time_s < self.bars[i].start_s - 1e-9:
            i -= 1
        bar = self.bars[i]
        return self.begins[i] + round((time_s - bar.start_s) / bar.whole_note_s * _PER_WHOLE), i


def _ticks(length: Fraction) -> int:
    return round(length * _PER_WHOLE)


def _conducting(tune: Tune, clock: _Ticks) -> Iterator[_Timed]:
    """Yield title, metres and tempos."""
    yield 0, 0, mido.MetaMessage("track_name", name=tune.title)
    meter: Meter | None = None
    tempo_us = 0
    for bar, tick in zip(clock.bars, clock.begins, strict=False):
        if bar.meter != meter and bar.meter.beats and bar.meter.beats <= _LARGEST_COUNT:
            yield tick, 1, mido.MetaMessage("time_signature", numerator=bar.meter.beats, denominator=bar.meter.unit)
        meter = bar.meter
        now_us = min(_SLOWEST_US, max(1, round(bar.whole_note_s / 4 * _MICROSECONDS)))
        if now_us != tempo_us:
            yield tick, 2, mido.MetaMessage("set_tempo", tempo=now_us)
        tempo_us = now_us


def _playing(schedule: Schedule, clock: _Ticks) -> Iterator[_Timed]:
    """Yield the notes and gracenotes: each ends as the next begins, as on a chanter; only a rest is silent."""
    yield 0, 0, mido.MetaMessage("track_name", name="Chanter")
    yield 0, 1, mido.Message("program_change", program=BAGPIPE, channel=CHANNEL)
    bar = 0
    for event in schedule.events:
        start, bar = clock.at(event.start_s, bar)
        end, _ = clock.at(event.end_s, bar)
        if event.kind is EventKind.REST:
            continue
        number, end = DEFAULT_MAP.number(event.note), max(end, start + 1)
        yield start, 3, mido.Message("note_on", note=number, velocity=VELOCITY, channel=CHANNEL)
        yield end, 2, mido.Message("note_off", note=number, velocity=0, channel=CHANNEL)


def _track(timed: Iterator[_Timed], end: int) -> mido.MidiTrack:
    """A track of these messages, each after the time since the one before."""
    track = mido.MidiTrack()
    before = 0
    for tick, _, message in sorted(timed, key=lambda each: each[:2]):
        track.append(message.copy(time=tick - before))
        before = tick
    track.append(mido.MetaMessage("end_of_track", time=max(0, end - before)))
    return track
