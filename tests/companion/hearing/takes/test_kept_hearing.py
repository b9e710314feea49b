"""What was heard is kept, and damage costs time alone."""

from __future__ import annotations

import json
import os
from dataclasses import replace
from pathlib import Path

import pytest

from companion.hearing.hear import SoundBlocks
from companion.hearing.heard import HeardNote, HeardSound, SoundEvidence, SoundTrouble
from companion.hearing.takes import kept_hearing, recordings
from companion.hearing.takes.kept_hearing import KeptHearing, keep_hearing, kept_path, read_hearing
from companion.hearing.takes.recordings import hear_recording
from fingering.notes import Note
from tests.companion.hearing.takes.short import heard_short, short_recording

pytestmark = pytest.mark.same_everywhere


@pytest.fixture(scope="module", autouse=True)
def _heard_first() -> None:
    """Into the cache of all tests."""
    heard_short()


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of the program's own."""
    monkeypatch.setenv("EIGHTHOLES_DATA", str(tmp_path / "home"))
    return tmp_path / "home"


def _kept() -> KeptHearing:
    """With every sort of doubt in it."""
    maybe = (HeardNote(1.0, 1.02, Note.HIGH_G, 0.3, frozenset({Note.F, Note.E}), by_pitch=True),)
    evidence = SoundEvidence.of([bytes(range(20))], 0.01, 0.0025, [b"\1\2"])
    return KeptHearing(replace(heard_short(), maybe=maybe, troubles=(SoundTrouble.NOISY,), evidence=evidence), 0.25)


def _refuse(*_: object) -> object:
    raise AssertionError("it is heard again")


def test_what_is_kept_is_read_as_it_was(tmp_path: Path) -> None:
    """Every note to the last bit, with its doubts."""
    keep_hearing(tmp_path / "a.json", _kept())
    assert read_hearing(tmp_path / "a.json") == _kept()


def test_a_sound_is_heard_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Under whatever name; its greatest sample is known the second time as well."""
    path = short_recording().write(tmp_path / "a.wav")

    def heard_before(sound: SoundBlocks, *_: object) -> HeardSound:
        assert sum(len(each) for each in sound.blocks()) == sound.frames
        return heard_short()

    monkeypatch.setattr(recordings, "hear", heard_before)
    first = hear_recording(path)
    assert first.greatest == pytest.approx(0.5, abs=0.01)
    monkeypatch.setattr(recordings, "hear", _refuse)
    shares: list[float] = []
    assert hear_recording(path.rename(tmp_path / "b.wav"), shares.append) == first
    assert shares == [1.0]


def test_another_sound_or_another_hearing_is_kept_apart(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The place tells both."""
    one, other = tmp_path / "one", tmp_path / "other"
    one.write_bytes(b"a")
    other.write_bytes(b"b")
    places = {kept_path(one), kept_path(other)}
    monkeypatch.setattr(kept_hearing, "hearing_version", lambda: "f" * 64)
    assert len(places | {kept_path(one)} - {None}) == 3


@pytest.mark.parametrize("damage", [b"", b"{}", b"\xff\xfe", b'{"greatest": 1e999}', b"[" * 100])
def test_what_is_spoilt_is_heard_again(tmp_path: Path, damage: bytes, monkeypatch: pytest.MonkeyPatch) -> None:
    """And kept anew."""
    path = tmp_path / "a.wav"
    path.write_bytes(b"sound")
    place = kept_path(path)
    assert place is not None
    place.parent.mkdir(parents=True)
    place.write_bytes(damage)
    monkeypatch.setattr(recordings, "_heard_now", lambda *_: _kept())
    assert hear_recording(path) == _kept()
    assert read_hearing(place) == _kept()


@pytest.mark.parametrize(
    "spoilt", [("note", "h"), ("or", "h"), ("to_s", 0.0), ("sure", 2.0), ("from_s", "1"), ("by_pitch", "yes")]
)
def test_a_note_that_is_none_spoils_it(tmp_path: Path, spoilt: tuple[str, object]) -> None:
    """Nothing of it is believed."""
    keep_hearing(tmp_path / "a.json", _kept())
    data = json.loads((tmp_path / "a.json").read_text())
    data["notes"][5][spoilt[0]] = spoilt[1]
    (tmp_path / "a.json").write_text(json.dumps(data))
    assert read_hearing(tmp_path / "a.json") is None


def test_without_a_place_to_keep_it_all_works(tmp_path: Path, home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It is heard each time: where the folder cannot be made, a file stands in its way."""
    home.write_bytes(b"")
    path = tmp_path / "a.wav"
    path.write_bytes(b"sound")
    heard: list[object] = []

    def hear_now(*given: object) -> KeptHearing:
        heard.append(given)
        return _kept()

    monkeypatch.setattr(recordings, "_heard_now", hear_now)
    assert [hear_recording(path), hear_recording(path)] == [_kept(), _kept()]
    assert len(heard) == 2


def test_the_oldest_give_way(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """So that the folder does not grow for ever."""
    monkeypatch.setattr(kept_hearing, "MOST_KEPT", 2)
    small = replace(_kept(), heard=replace(heard_short(), notes=()))
    for rank, name in enumerate("abcd"):
        keep_hearing(tmp_path / f"{name}.json", small)
        os.utime(tmp_path / f"{name}.json", (rank, rank))
    assert sorted(each.name for each in tmp_path.glob("*.json")) == ["c.json", "d.json"]
