"""`eightholes judge`: takes of others' making, and what is printed of them."""

from __future__ import annotations

import json
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path
from typing import Any

import mido
import pytest

from companion.__main__ import main
from tests.companion.listen.playing import FOUR_BARS, asked_of, played_as

ABC = f"%abc-2.1\nX:1\nT:A test\nM:4/4\nL:1/8\nQ:1/4=60\nK:HP\n{FOUR_BARS}\n"
TICKS = 4800


def at_120(at_s: float) -> int:
    """Ticks at the Standard MIDI File's own default tempo, 120 a minute."""
    return round(at_s * 2.0 * TICKS)


def write_take(
    path: Path,
    *,
    shift: int = 0,
    overlap_s: float = 0.0,
    velocity_zero: bool = False,
    drones: Sequence[int] = (),
    channel: int = 0,
    skip: int | None = None,
    tempo_map: bool = False,
) -> str:
    """A take as other programs write it: note on and off, no heading of ours."""
    notes = [event for rank, event in enumerate(played_as(asked_of(FOUR_BARS))) if rank != skip]
    told: list[tuple[float, str, int]] = [(0.1, "note_on", drone) for drone in drones]
    for event, following in pairwise(notes):
        assert event.note is not None
        told.append((event.at_s, "note_on", event.note.midi + shift))
        told.append((following.at_s + overlap_s, "note_off", event.note.midi + shift))
    told += [(notes[-1].at_s + 1.0, "note_off", drone) for drone in drones]
    told.sort(key=lambda each: (each[0], each[1] == "note_on"))
    file = mido.MidiFile(ticks_per_beat=TICKS)
    track = mido.MidiTrack()
    file.tracks.append(track)
    if tempo_map:
        # Twice as slow from the first second on, the ticks halved: the same seconds.
        track.append(mido.MetaMessage("set_tempo", tempo=500_000))
        track.append(mido.MetaMessage("set_tempo", tempo=1_000_000, time=at_120(1.0)))
    now = at_120(1.0) if tempo_map else 0
    for at_s, kind, number in told:
        tick = at_120(1.0) + at_120(at_s - 1.0) // 2 if tempo_map else at_120(at_s)
        off_by_zero = kind == "note_off" and velocity_zero
        name, velocity = ("note_on", 0) if off_by_zero else (kind, 64)
        track.append(mido.Message(name, channel=channel, note=number, velocity=velocity, time=max(0, tick - now)))
        now = max(now, tick)
    file.save(path)
    return str(path)


@pytest.fixture
def tune(tmp_path: Path) -> str:
    """The tune's file."""
    path = tmp_path / "tune.abc"
    path.write_text(ABC, encoding="utf-8")
    return str(path)


def judged(capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, Any]:
    """The JSON of a judged take."""
    assert main(["judge", *words, "--json"]) == 0
    data: dict[str, Any] = json.loads(capsys.readouterr().out)
    return data


@pytest.mark.parametrize(
    "how",
    [
        {},
        {"overlap_s": 0.01},
        {"velocity_zero": True},
        {"drones": (33, 45)},
        {"tempo_map": True},
        {"shift": 2},
    ],
    ids=["plain", "legato", "velocity 0", "drones", "tempo map", "transposed"],
)
def test_a_take_as_asked_is_clean(
    how: dict[str, object], tune: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """However another program wrote it."""
    data = judged(capsys, tune, write_take(tmp_path / "take.mid", **how))  # type: ignore[arg-type]
    assert data["findings"] == []
    assert abs(data["tempo"] - 60.0) < 0.1


def test_low_a_moves_the_map(tune: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A take an octave lower, with its low A given."""
    take = write_take(tmp_path / "take.mid", shift=-12)
    assert judged(capsys, tune, take, "--low-a", "57")["findings"] == []


def test_notes_that_do_not_fit_may_be_named_wrongly(
    tune: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A take of other notes than the tune's is refused, and --low-a, which names them, is offered."""
    other = tmp_path / "other.abc"
    other.write_text(ABC.replace(FOUR_BARS, "e2f2e2d2|a2e2a2e2|f2d2f2d2|e4e4|"), encoding="utf-8")
    told = refusal(capsys, str(other), write_take(tmp_path / "take.mid"))
    assert "does not sound like" in told
    assert told.endswith("choose the tune that was played, or give --low-a N, the MIDI note of the instrument's low A")


def test_times_count_from_the_beginning_of_the_file(
    tune: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A gracenote left out of the second note, at 1.5 s."""
    data = judged(capsys, tune, write_take(tmp_path / "take.mid", skip=1))
    (found,) = data["findings"]
    assert found["kind"] == "missing-gracenote"
    assert abs(found["at_ms"] - 1540.0) < 5.0
    assert set(found) >= {"kind", "at_ms", "bar", "note", "asked", "heard", "fingers", "ms", "text"}


def test_a_drum_track_is_refused(tune: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Channel 10 is percussion (from memory)."""
    assert main(["judge", tune, write_take(tmp_path / "take.mid", channel=9)]) == 2
    assert "drum track" in capsys.readouterr().err


def refusal(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    """The one line with which nothing is judged."""
    assert main(["judge", *words]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    (line,) = err.splitlines()
    assert line.startswith("eightholes: ")
    return str(line)


SPOILT = {
    "nothing at all": (b"", "this is not a MIDI file"),
    "not MIDI": (b"not midi", "this is not a MIDI file"),
    "cut off": (b"MThd\0\0\0\6\0\0\0\1\1\0MTrk\0\0\0\x40\0", "this MIDI file ends too soon"),
    # The division's first bit says that ticks are parts of a film's frame (Standard MIDI Files 1.0), here 25 a second.
    "film frames": (
        b"MThd\0\0\0\6\0\0\0\1\xe7\x28MTrk\0\0\0\x0c\0\x90\x45\x40\x20\x90\x45\0\0\xff\x2f\0",
        "the times in this MIDI file count film frames, not beats",
    ),
}


@pytest.mark.parametrize("name", SPOILT)
def test_a_file_that_cannot_be_read(name: str, tune: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One line in words for people, exit status 2."""
    content, told = SPOILT[name]
    take = tmp_path / "take.mid"
    take.write_bytes(content)
    assert f"{take}: {told};" in refusal(capsys, tune, str(take))


def test_a_folder_is_no_take(tune: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A folder and a file that does not exist are refused, each with its reason."""
    assert "this is a folder; name a file in it" in refusal(capsys, tune, str(tmp_path))
    assert "there is no such file" in refusal(capsys, tune, str(tmp_path / "nowhere.mid"))


@pytest.mark.parametrize(("low_a", "told"), [("500", "choose 2 to 115"), ("70", "with its low A at 70 only")])
def test_a_low_a_that_cannot_be(
    low_a: str, told: str, tune: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Low G lies 2 semitones below it and high A 12 above, all from 0 to 127."""
    assert told in refusal(capsys, tune, write_take(tmp_path / "take.mid"), "--low-a", low_a)


def test_several_takes_make_one_table(tune: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One that is refused stands in it with the reason; nothing else is printed where nobody watches."""
    bad = tmp_path / "bad.mid"
    bad.write_bytes(b"not midi")
    takes = [write_take(tmp_path / "one.mid"), write_take(tmp_path / "two.mid", skip=1), str(bad)]
    assert main(["judge", tune, *takes]) == 0
    out, err = capsys.readouterr()
    assert err == ""
    head, one, two, three = out.splitlines()
    assert head.split() == ["take", "tempo", "notes", "gracenotes", "movements", "findings", "to", "mend", "first"]
    assert one.startswith(takes[0])
    assert two.endswith("the G gracenote on B was left out.")
    assert three.startswith(takes[2])
    assert "this is not a MIDI file" in three


def test_progress_is_one_line_on_a_terminal(
    tune: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is written over and over, and cleared in the end."""
    takes = [write_take(tmp_path / "one.mid"), write_take(tmp_path / "two.mid")]
    monkeypatch.setattr("sys.stderr.isatty", lambda: True)
    assert main(["judge", tune, *takes]) == 0
    assert capsys.readouterr().err == "\rjudged 1 of 2\rjudged 2 of 2\r\x1b[K"


def test_several_takes_of_which_none_can_be_judged(
    tune: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A line for each, and exit status 2."""
    bad, drums = tmp_path / "bad.mid", write_take(tmp_path / "drums.mid", channel=9)
    bad.write_bytes(b"not midi")
    assert main(["judge", tune, str(bad), drums]) == 2
    lines = capsys.readouterr().err.splitlines()
    assert ["not a MIDI file" in lines[0], "drum track" in lines[1]] == [True, True]
    assert "none of these 2 takes could be judged" in lines[2]


def test_the_page_is_written(tune: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """--html writes an HTML page; into a folder that does not exist is an error with exit status 2."""
    take, page = write_take(tmp_path / "take.mid"), tmp_path / "page.html"
    assert main(["judge", tune, take, "--html", str(page)]) == 0
    assert page.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")
    assert main(["judge", tune, take, "--html", str(tmp_path / "nowhere" / "page.html")]) == 2
    assert "there is no folder" in capsys.readouterr().err
