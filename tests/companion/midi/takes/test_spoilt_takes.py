"""A take that is spoilt is refused in one line, whatever is wrong with it, and the others are listed all the same."""

from __future__ import annotations

import os
import tracemalloc
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import mido
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.midi.takes.heading import TuneIdentity, heading_from_text, heading_to_text
from companion.midi.takes.reading import list_takes, read_summary, read_take
from companion.midi.takes.standard_file import MOST_EVENTS, read_midi
from companion.schedule.stretch import Stretch
from companion.schedule.timing import Timing
from fingering.embellishments import Family
from fingering.errors import UserError
from tests.companion.midi.spoilt import GOOD, HEADING, NOTES, SPOILT, changed, chunk, meta, midi
from tests.companion.tune_building import notes, tune


def told(path: Path) -> str:
    """What is said of a file, by the list and by what plays it back; "" where it is read."""
    lines = []
    for read in (read_summary, read_take):
        try:
            read(path)
            lines.append("")
        except UserError as error:
            lines.append(str(error))
    assert lines[0] == lines[1]
    return lines[0]


@pytest.mark.parametrize("name", SPOILT)
def test_each_is_told_in_one_line(name: str, tmp_path: Path) -> None:
    """With its place, and what to do."""
    data, words = SPOILT[name]
    path = tmp_path / "a.mid"
    path.write_bytes(data)
    line = told(path)
    assert line.isprintable()
    assert words in line
    assert bool(words) == line.startswith(f"{path}: ")


def test_the_others_are_listed(tmp_path: Path) -> None:
    """Good takes beside every spoilt one, a folder, a pipe and a file of another time."""
    for rank, (data, _) in enumerate(SPOILT.values()):
        (tmp_path / f"{rank:02}.mid").write_bytes(data)
    (tmp_path / "folder.mid").mkdir()
    os.mkfifo(tmp_path / "pipe.mid")
    (tmp_path / "good.mid").write_bytes(GOOD)
    (tmp_path / "far.mid").write_bytes(midi(NOTES))
    os.utime(tmp_path / "far.mid", (0, 1e14))
    listing = list_takes(tmp_path)
    readable = sum(not words for _, words in SPOILT.values())
    assert {"good.mid", "far.mid"} <= {take.path.name for take in listing.takes}
    assert len(listing.takes) == readable + 2
    assert len(listing.problems) == len(SPOILT) - readable + 2


@pytest.mark.parametrize(
    ("name", "told"),
    [("a megabyte of notes", "more than 100000 events"), ("a header that asks for 4 GB", "ends too soon")],
)
def test_what_a_header_promises_makes_no_room(name: str, told: str) -> None:
    """No more than some times the file itself."""
    tracemalloc.start()
    try:
        with pytest.raises(UserError, match=told):
            read_midi(SPOILT[name][0], "a.mid")
        assert tracemalloc.get_traced_memory()[1] < 30_000_000
    finally:
        tracemalloc.stop()


def test_a_take_of_most_events_is_read(tmp_path: Path) -> None:
    """Exactly so many, none more."""
    full = midi(b"\x01\x90\x45\x40" * (MOST_EVENTS - 1))
    assert len(read_midi(full, "a.mid").messages) == MOST_EVENTS - 1
    with pytest.raises(UserError, match="more than"):
        read_midi(midi(b"\x01\x90\x45\x40" * MOST_EVENTS), "a.mid")


def test_chunks_of_other_kinds_are_passed_over() -> None:
    """Standard MIDI Files 1.0: "your programs should expect alien chunks" (from memory)."""
    data = midi(NOTES)
    assert read_midi(data[:14] + chunk(b"XFIH", b"what") + data[14:], "a.mid") == read_midi(data, "a.mid")


def test_what_follows_the_last_track_is_not_read() -> None:
    """A take's next block stands there for a moment."""
    assert read_midi(midi(NOTES) + b"\0\x90", "a.mid") == read_midi(midi(NOTES), "a.mid")


_EVENTS = st.lists(
    st.tuples(
        st.integers(0, 0x0FFFFF),
        st.one_of(
            st.builds(
                lambda c, n, v: mido.Message("note_on", channel=c, note=n, velocity=v), *[st.integers(0, 15)] * 3
            ),
            st.builds(lambda c, n: mido.Message("control_change", channel=c, control=n), *[st.integers(0, 15)] * 2),
            st.builds(lambda n: mido.Message("program_change", program=n), st.integers(0, 127)),
            st.builds(lambda n: mido.Message("aftertouch", value=n), st.integers(0, 127)),
            st.builds(lambda n: mido.Message("pitchwheel", pitch=n), st.integers(-8192, 8191)),
            st.builds(lambda data: mido.Message("sysex", data=data), st.lists(st.integers(0, 127), max_size=9)),
            st.builds(lambda n: mido.MetaMessage("set_tempo", tempo=n), st.integers(1, 0xFFFFFF)),
            st.builds(lambda text: mido.MetaMessage("lyrics", text=text), st.text("ab", max_size=200)),
        ),
    ),
    max_size=20,
)


@settings(max_examples=50)
@given(st.lists(_EVENTS, min_size=1, max_size=3), st.integers(1, 0x7FFF))
def test_files_that_mido_writes_are_read_as_mido_reads_them(
    tmp_path_factory: pytest.TempPathFactory, tracks: Sequence[Sequence[tuple[int, mido.Message]]], division: int
) -> None:
    """Running status, several tracks, changes of tempo."""
    path = tmp_path_factory.mktemp("take") / "a.mid"
    theirs = mido.MidiFile(type=1, ticks_per_beat=division)
    for track in tracks:
        theirs.tracks.append(mido.MidiTrack(message.copy(time=time) for time, message in track))
    theirs.save(path)
    again = mido.MidiFile(path)
    if again.length > 600_000:
        return
    ours = read_midi(path.read_bytes(), "a.mid")
    at_s, expected = 0.0, []
    for message in again:
        at_s += message.time
        if message.type in ("note_on", "control_change", "aftertouch", "pitchwheel"):
            expected.append(at_s)
    assert [each.at_s for each in ours.messages] == pytest.approx(expected, rel=1e-9, abs=1e-6)
    assert ours.end_s == pytest.approx(again.length, rel=1e-9, abs=1e-6)


@settings(max_examples=200)
@given(st.binary(max_size=300), st.booleans())
def test_any_bytes_are_a_take_or_a_user_error(data: bytes, as_track: bool) -> None:
    """As a whole file, or as the track of a sound one."""
    line = ""
    try:
        read_midi(midi(data) if as_track else b"MThd" + data, "a.mid")
    except UserError as error:
        line = str(error)
    assert line.isprintable()


@settings(max_examples=200)
@given(st.text(max_size=200), st.booleans())
def test_any_heading_is_read_or_a_user_error(
    tmp_path_factory: pytest.TempPathFactory, text: str, spliced: bool
) -> None:
    """A text of its own, or one that stands in the middle of a sound heading."""
    sound = heading_to_text(HEADING)
    written = f"{sound[: len(text) * 3]}{text}{sound[len(text) * 3 :]}" if spliced else "{" + text
    path = tmp_path_factory.mktemp("take") / "a.mid"
    path.write_bytes(midi(meta(0x01, written.encode("utf-8", "surrogatepass")) + NOTES))
    assert told(path).isprintable()


def test_a_take_older_than_a_family_has_it_where_it_usually_is(tmp_path: Path) -> None:
    """What the heading does not tell of placements is as by default."""
    (tmp_path / "a.mid").write_bytes(changed(timing__placements={}))
    timing = read_take(tmp_path / "a.mid").heading.timing
    assert timing is not None
    assert dict(timing.placements) == dict(Timing().placements)
    assert set(timing.placements) == set(Family)


def test_a_title_longer_than_a_heading_keeps_is_cut() -> None:
    """A heading with texts beyond the limit is written with them cut, so that it can be read again."""
    long = replace(tune(notes("gcd:c e gAd:A A")), title="\U0001d11e" * 100_000)
    heading = replace(HEADING, tune=TuneIdentity.of(long), source="\ud800" * 9000)
    again = heading_from_text(heading_to_text(heading).encode(), tempo_s=0.5)
    assert again.tune == TuneIdentity.of(long)
    assert again.source == "\ud800" * 4096


def test_notes_that_the_tune_does_not_have_are_a_user_error() -> None:
    """The take cannot know how many it has."""
    short = tune(notes("gcd:c e gAd:A A"))
    assert replace(HEADING, stretch=Stretch(1, 4)).stretch_in(short) == Stretch(1, 4)
    with pytest.raises(UserError, match="note 12 of a tune that has 4"):
        HEADING.stretch_in(short)
