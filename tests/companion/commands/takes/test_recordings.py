"""Recordings on the command line: packed with their tune, judged, listed, opened, counted."""

from __future__ import annotations

import json
import zipfile
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest
import soundfile

from companion.__main__ import main
from companion.commands.shared.openable import words_to_open
from companion.commands.takes.opening import open_take_file
from companion.hearing.takes.sound_take import recorded_take
from companion.lesson.progress.book import ProgressBook
from companion.lesson.progress.earlier import take_in_earlier
from companion.midi.takes.heading import content_hash
from companion.midi.takes.own_settings import OwnSettings
from companion.midi.takes.reading import voice_beside
from companion.midi.takes.take_file import TakeFile
from companion.score.abc import read_abc
from companion.score.formats.abc_text.writer import abc_of
from tests.companion.hearing.drills import kept_voice
from tests.companion.hearing.takes.short import RATE_HZ, heard_short, short_recording
from tests.hearing.sources.made import SoundSource

pytestmark = pytest.mark.same_everywhere

SCORE, SOUND = "tune.abc", "take.wav"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with a tune and the recording of it, which was heard before."""
    heard_short()
    short = short_recording()
    (tmp_path / SCORE).write_text(abc_of(short.tune), encoding="utf-8")
    short.write(tmp_path / SOUND)
    return tmp_path


def by_microphone(folder: Path) -> Path:
    """The same recording as a take that was played on a microphone: 0.3 s of its sound come before the take."""
    tune = read_abc(folder / SCORE).tunes[0]
    heading = recorded_take(folder / SOUND, tune).heading
    path = folder / "2026-01-02 10-00-00 a-test.mid"
    began = datetime(2026, 1, 2, tzinfo=UTC)
    file = TakeFile(path, replace(heading, began=began, source="Microphone", sound_starts_s=0.3))
    file.finish(len(short_recording().samples) / RATE_HZ - 0.3)
    soundfile.write(path.with_suffix(".flac"), short_recording().samples, RATE_HZ)
    return path


def pack(folder: Path, *more: str, sound: str = SOUND) -> int:
    """Run the command."""
    return main(["pack", str(folder / SCORE), str(folder / sound), "-o", str(folder / "a.zip"), *more])


def test_all_that_was_made_of_a_recording_goes_into_one_file(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The sound itself, the tune, what was heard and judged, and a text that says what each is."""
    assert pack(folder, "--about", "a plastic chanter, 1 m") == 0
    with zipfile.ZipFile(folder / "a.zip") as packed:
        assert packed.testzip() is None
        inside = {name: packed.read(name) for name in packed.namelist()}
    assert set(inside) == {"README.txt", "tune.abc", "heard.json", "judged.json", "recording.flac"}
    (folder / "out.flac").write_bytes(inside["recording.flac"])
    samples, rate_hz = soundfile.read(folder / "out.flac", dtype="float32")
    assert rate_hz == RATE_HZ
    assert np.abs(samples - short_recording().samples).max() <= 2.0**-15
    (folder / "out.abc").write_bytes(inside["tune.abc"])
    assert content_hash(read_abc(folder / "out.abc").tunes[0]) == content_hash(short_recording().tune)
    assert len(json.loads(inside["heard.json"])["events"]) > 30
    assert json.loads(inside["judged.json"])["findings"]
    about = inside["README.txt"].decode()
    assert "a plastic chanter, 1 m" in about
    assert "sent nowhere" in about
    assert all(name in about for name in set(inside) - {"README.txt"})
    assert "a.zip" in capsys.readouterr().out


def test_nothing_is_written_over_unless_asked(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """And a name without its ending is refused before any work."""
    (folder / "a.zip").write_bytes(b"mine")
    assert pack(folder) == 2
    assert (folder / "a.zip").read_bytes() == b"mine"
    assert pack(folder, "--force") == 0
    assert main(["pack", str(folder / SCORE), str(folder / SOUND), "-o", str(folder / "a.rar")]) == 2
    assert "ends in .zip" in capsys.readouterr().err


def test_what_the_program_could_not_hear_is_packed_as_well(folder: Path) -> None:
    """Such recordings are the ones to learn from: both files say why there is nothing."""
    soundfile.write(folder / "silent.wav", np.zeros((RATE_HZ, 2), np.float32), RATE_HZ)
    assert pack(folder, sound="silent.wav") == 0
    with zipfile.ZipFile(folder / "a.zip") as packed:
        assert "nothing is to be heard" in json.loads(packed.read("heard.json"))["refused"]
        assert "refused" in json.loads(packed.read("judged.json"))


def test_a_take_with_its_sound_is_packed_with_both(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """And with the voice that it was heard by; one without sound is refused."""
    path = by_microphone(folder)
    voice = kept_voice(SoundSource.PRACTICE_VOICE)
    voice_beside(path).write_bytes(voice)
    assert pack(folder, sound=path.name) == 0
    with zipfile.ZipFile(folder / "a.zip") as packed:
        assert packed.read("take.mid") == path.read_bytes()
        assert packed.read("recording.voice") == voice
        assert json.loads(packed.read("judged.json"))["findings"]
    path.with_suffix(".flac").unlink()
    assert pack(folder, "--force", sound=path.name) == 2
    assert "no sound beside it" in capsys.readouterr().err


def test_a_take_by_microphone_is_judged_by_its_sound(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """It draws what the recording draws, in the time of the take's own file; a table holds both."""
    path = by_microphone(folder)
    words = ["judge", str(folder / SCORE)]
    assert main([*words, str(folder / SOUND), "--json"]) == 0
    recorded = json.loads(capsys.readouterr().out)
    assert main([*words, str(path), "--json"]) == 0
    taken = json.loads(capsys.readouterr().out)
    assert [each["kind"] for each in taken["findings"]] == [each["kind"] for each in recorded["findings"]]
    times = zip(taken["findings"], recorded["findings"], strict=True)
    assert all(one["at_ms"] == pytest.approx(other["at_ms"] - 300.0, abs=1.0) for one, other in times)
    assert main([*words, str(folder / SOUND), str(path)]) == 0
    table = capsys.readouterr().out
    assert "take.wav" in table
    assert path.name in table


def test_takes_by_microphone_count_by_their_sound(folder: Path) -> None:
    """As they are taken in later, like all takes."""
    path = by_microphone(folder)
    book = ProgressBook(folder / "progress.sqlite")
    try:
        now = datetime.now(UTC)
        taken = take_in_earlier(book, "", [path], OwnSettings(None), now)
        assert taken.taken == 1
        assert book.account("", now).takes == 1
    finally:
        book.close()


def test_the_list_of_takes_tells_of_sound(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Which takes have it, and which recordings lie among them."""
    path = by_microphone(folder)
    assert main(["take", "list", "--folder", str(folder)]) == 0
    told = capsys.readouterr().out
    assert "on Microphone, with sound" in told
    assert "a recording  (take.wav)" in told
    assert main(["take", "list", "--folder", str(folder), "--json"]) == 0
    rows = json.loads(capsys.readouterr().out)
    assert [each["sound"] for each in rows] == [str(path.with_suffix(".flac")), str(folder / SOUND)]


def test_a_recording_by_its_name_alone_is_opened_as_a_take(folder: Path) -> None:
    """A tune may follow it; a tune's file is opened as ever."""
    assert words_to_open(str(folder / SOUND), ()) == ["--take", str(folder / SOUND)]
    assert words_to_open(str(folder / SCORE), ()) == [str(folder / SCORE)]


def test_a_recording_alone_is_of_the_file_beside_it(folder: Path) -> None:
    """As in the window; where that is no file of tunes, or there are several of other names, it is free play."""
    own = short_recording().tune
    assert open_take_file(folder / SOUND, None).tunes.first.title == own.title
    assert open_take_file(folder / SOUND, None).take.heading.shown_title == own.title
    (folder / SCORE).write_text("", encoding="utf-8")
    assert open_take_file(folder / SOUND, None).take.heading.tune is None
    (folder / SCORE).write_text(abc_of(own), encoding="utf-8")
    (folder / "other.abc").write_text(abc_of(own), encoding="utf-8")
    assert open_take_file(folder / SOUND, None).take.heading.tune is None


@pytest.mark.parametrize("words", [["--finding", "1"], ["--verdict"], ["--second", "5"]])
def test_a_recording_is_drawn_as_a_take_is(folder: Path, words: list[str]) -> None:
    """At what was found, at its verdict, at a moment."""
    out = folder / "a.png"
    assert main(["picture", str(folder / SCORE), "--take", str(folder / SOUND), *words, "-o", str(out)]) == 0
    assert out.read_bytes().startswith(b"\x89PNG")
