"""A recording as a take: its events, its time, what is judged of it, where recordings are found."""

from __future__ import annotations

import os
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from companion.hearing.heard import HeardNote, HeardSound
from companion.hearing.takes import sound_take
from companion.hearing.takes.events import events_of
from companion.hearing.takes.kept_hearing import KeptHearing
from companion.hearing.takes.recordings import recordings_in
from companion.hearing.takes.sound_take import hear_take_sound, judge_sound_take, recorded_take
from companion.listen.judgement import judge
from companion.listen.model.played import Sounded
from companion.midi.maps.note_map import DEFAULT_MAP
from companion.midi.takes.heading import Heading, TuneIdentity
from companion.midi.takes.reading import Take
from companion.schedule.timing import Timing
from fingering.errors import UserError
from fingering.notes import Note
from tests.companion.hearing.takes.short import first_notes, heard_short, short_recording

pytestmark = pytest.mark.same_everywhere

BEGAN = datetime(2026, 1, 2, tzinfo=UTC)
HEARD = HeardSound(
    240.0,
    (240.0,) * 9,
    False,
    -40.0,
    0.0,
    0.012,
    10.0,
    (
        HeardNote(0.5, 2.0, Note.LOW_A),
        HeardNote(2.0, 3.0, Note.B),
        HeardNote(3.1, 6.0, Note.C),
        HeardNote(6.0, 9.5, Note.D),
    ),
)


def _by_microphone(folder: Path, **of_heading: object) -> Take:
    """A take whose sound began 1 s before it and whose tune began 2 s after it; it ends 6 s after that."""
    path = folder / "take.mid"
    path.with_suffix(".flac").write_bytes(b"sound")
    heading = Heading(BEGAN, "Microphone", DEFAULT_MAP, None, Timing(), tune_starts_s=2.0, sound_starts_s=1.0)
    told = (Sounded(0.0, Note.E),)
    return Take(replace(heading, **of_heading), (), told, 6.0, path)  # type: ignore[arg-type]


def test_a_recording_draws_what_its_midi_take_draws(tmp_path: Path) -> None:
    """The same faults at the same notes, at the same time within 30 ms."""
    short = short_recording()
    sounding = hear_take_sound(recorded_take(short.write(tmp_path / "a.wav"), short.tune))
    by_sound, by_midi = judge_sound_take(short.tune, sounding), judge(short.tune, short.events)
    assert by_midi.findings
    assert [(each.kind, each.played) for each in by_sound.findings] == [
        (each.kind, each.played) for each in by_midi.findings
    ]
    assert [each.at_s for each in by_sound.findings] == pytest.approx(
        [each.at_s for each in by_midi.findings], abs=0.03
    )


def test_a_recording_is_a_take_of_its_tune_in_its_own_time(tmp_path: Path) -> None:
    """It lasts as long as the sound; before it was heard nothing is in it."""
    short = short_recording()
    take = recorded_take(short.write(tmp_path / "a.wav"), short.tune)
    assert take.heading.tune == TuneIdentity.of(short.tune)
    assert take.sound == take.path
    assert take.end_s == pytest.approx(len(short.samples) / 48_000)
    assert take.events == ()
    heard = hear_take_sound(take)
    assert first_notes(heard.take.events, 5) == first_notes(short.events, 5)
    assert heard.take.events == events_of(heard_short().notes)


def test_what_lies_beside_a_take_is_heard_in_the_takes_time(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """In place of what was told while it was played; what the sound holds beyond the take is not of it."""
    monkeypatch.setattr(sound_take, "hear_recording", lambda *_: KeptHearing(HEARD, 0.5))
    heard = hear_take_sound(_by_microphone(tmp_path))
    sounded = [each for each in heard.take.events if isinstance(each, Sounded)]
    assert [(each.at_s, each.note) for each in sounded if each.note is not None] == [
        (-2.0, Note.LOW_A),
        (-1.0, Note.B),
        (pytest.approx(0.1), Note.C),
        (3.0, Note.D),
    ]
    assert heard.take.events[-1] == Sounded(6.0, None)


def test_what_sounded_in_the_count_is_not_of_the_tune(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """But for what was held on: as of a take in MIDI."""
    monkeypatch.setattr(sound_take, "hear_recording", lambda *_: KeptHearing(HEARD, 0.5))
    counted = hear_take_sound(_by_microphone(tmp_path, counted_s=3.5))
    assert [(each.at_s, each.note) for each in counted.heard.notes] == [(1.5, Note.C), (3.0, Note.D)]
    held = hear_take_sound(_by_microphone(tmp_path, held=True))
    assert [each.at_s for each in held.heard.notes] == pytest.approx([-2.0, -1.0, 0.1, 3.0])


def test_a_take_whose_sound_is_gone_says_so(tmp_path: Path) -> None:
    """And what to do."""
    take = _by_microphone(tmp_path)
    (tmp_path / "take.flac").unlink()
    assert take.sound is None
    with pytest.raises(UserError, match="put it beside the take"):
        hear_take_sound(take)


def test_recordings_are_found_but_not_the_sound_of_takes(tmp_path: Path) -> None:
    """Nor sound that lost its take, nor folders; the latest comes first."""
    for name in ("a.wav", "B.M4A", "take.mid", "take.flac", "mine.flac", "2026-11-29 20-15-03 a-tune.flac", "x.txt"):
        (tmp_path / name).write_bytes(b"x")
    (tmp_path / "folder.wav").mkdir()
    for rank, name in enumerate(("a.wav", "B.M4A", "mine.flac")):
        os.utime(tmp_path / name, (rank, rank))
    assert [each.path.name for each in recordings_in(tmp_path)] == ["mine.flac", "B.M4A", "a.wav"]
    assert recordings_in(tmp_path / "nowhere") == ()
