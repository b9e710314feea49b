"""`eightholes judge --setting`: a setting of one's own is said, kept, told and taken back."""

from __future__ import annotations

import json
from itertools import pairwise
from pathlib import Path
from typing import Any

import mido
import pytest

from companion.__main__ import main
from companion.files.folders import OVERRIDE
from companion.listen.model.asked import ask
from companion.schedule.build import build_schedule
from companion.schedule.timing import Timing
from companion.score.abc import read_abc
from companion.score.setting import Change, in_setting
from fingering.notes import Note
from tests.companion.listen.playing import played_as

ABC = """%abc-2.1
X:1
T:A test
M:4/4
L:1/8
Q:1/4=60
K:HP
|:A2{g}B2{d}c2e2|{g}f2e2{g}c2d2|{Gdc}d2{g}e2f2{g}e2|{g}c2A2{gBd}B2A2:|
"""
B_FOR_C = Change(6, Note.C, Note.B, (Note.HIGH_G,))


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> tuple[str, str]:
    """A tune, and a take in another setting of it; whatever is kept is kept beside them."""
    monkeypatch.setenv(OVERRIDE, str(tmp_path / "home"))
    tune, take = tmp_path / "tune.abc", tmp_path / "take.mid"
    tune.write_text(ABC, encoding="utf-8")
    events = played_as(ask(build_schedule(in_setting(read_abc(tune).tunes[0], (B_FOR_C,)), Timing())))
    file = mido.MidiFile(ticks_per_beat=4800)
    track = mido.MidiTrack()
    file.tracks.append(track)
    track.append(mido.Message("note_on", note=60, velocity=0, time=round(events[0].at_s * 9600)))
    for event, following in pairwise(events):
        assert event.note is not None
        track.append(mido.Message("note_on", note=event.note.midi, time=0))
        length = round(following.at_s * 9600) - round(event.at_s * 9600)
        track.append(mido.Message("note_off", note=event.note.midi, time=length))
    file.save(take)
    return str(tune), str(take)


def judged(capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, Any]:
    """The JSON."""
    assert main(["judge", *words, "--json"]) == 0
    data: dict[str, Any] = json.loads(capsys.readouterr().out)
    return data


def test_a_setting_is_asked_about_said_kept_and_taken_back(
    place: tuple[str, str], capsys: pytest.CaptureFixture[str]
) -> None:
    """In the JSON: what it is, where the matter asks about it, and in which setting the take was judged."""
    setting = [{"note": 6, "asked": "c", "played": "B", "gracenotes": "g", "added": ""}]
    first = judged(capsys, *place)
    assert [each["setting"] for each in first["summary"]["matters"]] == [setting]
    assert "setting" not in first
    for options in (("--setting", "mine"), (), ("--setting", "mine")):
        said = judged(capsys, *place, *options)
        assert said["findings"] == []
        assert said["setting"] == setting
    assert judged(capsys, *place, "--setting", "written") == first
    assert judged(capsys, *place) == first


def test_text_and_page_say_in_which_setting_a_take_was_judged(
    place: tuple[str, str], capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """ "your own: B for C in bar 2"."""
    assert main(["judge", *place, "--setting", "mine", "--html", str(tmp_path / "page.html")]) == 0
    assert "  Setting: your own: B for C in bar 2" in capsys.readouterr().out
    assert "your own: B for C in bar 2" in (tmp_path / "page.html").read_text(encoding="utf-8")


def test_the_page_asks_about_it(place: tuple[str, str], tmp_path: Path) -> None:
    """The page for a teacher asks whether the change is another setting, in the words of the text."""
    assert main(["judge", *place, "--html", str(tmp_path / "page.html")]) == 0
    page = (tmp_path / "page.html").read_text(encoding="utf-8")
    assert "In bar 2 you play B where this setting has C, both times: another setting?" in page


def test_a_setting_is_said_by_one_take(place: tuple[str, str], capsys: pytest.CaptureFixture[str]) -> None:
    """With several it is refused."""
    assert main(["judge", *place, place[1], "--setting", "mine"]) == 2
    assert "give one take with --setting mine" in capsys.readouterr().err


def test_where_nothing_can_be_kept_the_take_is_judged_so(
    place: tuple[str, str], capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """In the setting that was said; one line says that it is not kept."""
    (tmp_path / "home").write_text("")
    assert main(["judge", *place, "--setting", "mine", "--json"]) == 0
    told = capsys.readouterr()
    assert json.loads(told.out)["findings"] == []
    assert "cannot be kept" in told.err
