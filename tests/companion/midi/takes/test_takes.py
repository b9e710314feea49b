"""A take is a Standard MIDI File that is whole at every moment."""

from __future__ import annotations

import signal
import subprocess
import sys
from collections.abc import Sequence
from datetime import UTC, datetime
from fractions import Fraction
from pathlib import Path

import mido
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.listen.model.played import Fingered, Sounded
from companion.midi.maps.keys import KEYS_MAP
from companion.midi.maps.note_map import DEFAULT_MAP, NoteMap, Spelling
from companion.midi.stream.line import Timed
from companion.midi.stream.messages import Bend, Control, NoteOff, NoteOn, NotesOff, Pressure, VoiceMessage, encode
from companion.midi.takes.heading import Heading, TuneIdentity, content_hash, crotchet_s
from companion.midi.takes.reading import list_takes, read_summary, read_take
from companion.midi.takes.recorder import Recorder
from companion.midi.takes.take_file import DIVISION, TakeFile
from companion.schedule.stretch import Stretch
from companion.schedule.timing import Gracing, Timing
from companion.score.model import Tempo
from fingering.errors import UserError
from fingering.holes import Finger, HoleState
from fingering.notes import Note
from tests.companion.tune_building import note, notes, tune

ROOT = Path(__file__).resolve().parents[4]
BEGAN = datetime(2026, 1, 2, 20, 15, 3, tzinfo=UTC)
FREE_PLAY = Heading(BEGAN, "Chanter:MIDI", DEFAULT_MAP)
TUNE = tune(notes("gcd:c e gAd:A A"), tempo=Tempo(Fraction(1, 4), 72.0))
TIMING = Timing(beats_per_minute=66.0, slow_down=2.0, gracing=Gracing.CRISP)
ASKED = Heading(
    BEGAN,
    "Chanter:MIDI",
    NoteMap.of(57, Spelling.NATURALS),
    TuneIdentity("Fàilte", "tunes/one.abc", "1", content_hash(TUNE)),
    TIMING,
    Stretch(0, 2, led_onto=False),
    tune_starts_s=2.5,
    crotchet_s=crotchet_s(TUNE, TIMING),
)
SCALE = [
    Timed(rank * 0.1 + late, kind(0, number))
    for rank, number in enumerate(DEFAULT_MAP.numbers)
    for late, kind in ((0.0, NoteOn), (0.09, NoteOff))
]


def write(path: Path, heading: Heading, *blocks: Sequence[Timed], end_s: float | None = None) -> Path:
    """A take's file, written in these blocks, finished if an end is given."""
    file = TakeFile(path, heading)
    for block in blocks:
        file.append(block)
    if end_s is None:
        file.abandon()
    else:
        file.finish(end_s)
    return path


def test_a_take_reads_back_as_it_was(tmp_path: Path) -> None:
    """Heading, messages and end; a tick is 0.1 ms at 60 a minute."""
    path = write(tmp_path / "a.mid", ASKED, SCALE[:4], SCALE[4:], end_s=3.0)
    take = read_take(path)
    assert take.heading == ASKED
    assert [each.message for each in take.messages] == [each.message for each in SCALE]
    tick_s = ASKED.crotchet_s / DIVISION
    assert [each.at_s for each in take.messages] == pytest.approx([each.at_s - 2.5 for each in SCALE], abs=tick_s)
    assert take.end_s == pytest.approx(0.5, abs=tick_s)


def test_times_count_from_the_tunes_first_beat(tmp_path: Path) -> None:
    """What was played in the count-in is before it; low A came 0.1 s after the take began, the tune after 2.5 s."""
    take = read_take(write(tmp_path / "a.mid", Heading(BEGAN, "x", DEFAULT_MAP, tune_starts_s=2.5), SCALE))
    low_a = next(each for each in take.events if isinstance(each, Sounded) and each.note is Note.LOW_A)
    assert low_a.at_s == pytest.approx(-2.4, abs=0.001)


def test_the_tempo_is_the_tunes_as_it_was_played(tmp_path: Path) -> None:
    """66 a minute, twice as slow: a crotchet in 1,818,182 microseconds (Standard MIDI Files 1.0: FF 51 03)."""
    path = write(tmp_path / "a.mid", ASKED)
    assert [each.tempo for each in mido.MidiFile(path) if each.type == "set_tempo"] == [1_818_182]


_VOICE_MESSAGES: st.SearchStrategy[VoiceMessage] = st.one_of(
    st.builds(NoteOn, st.integers(0, 15), st.integers(0, 127)),
    st.builds(NoteOff, st.integers(0, 15), st.integers(0, 127)),
    st.builds(Control, st.integers(0, 15), st.integers(0, 119), st.integers(0, 127)),
    st.builds(NotesOff, st.integers(0, 15)),
    st.builds(Pressure, st.integers(0, 15), st.integers(0, 127)),
    st.builds(lambda c, p: Bend(c, p / 8192), st.integers(0, 15), st.integers(-8192, 8191)),
)


@settings(max_examples=50)
@given(st.lists(st.lists(st.tuples(st.floats(0.0, 4000.0), _VOICE_MESSAGES), max_size=5), max_size=4))
def test_mido_and_the_program_read_the_same(
    tmp_path_factory: pytest.TempPathFactory, blocks: list[list[tuple[float, VoiceMessage]]]
) -> None:
    """Messages, bytes and times, after every block; pauses may be longer than one delta time can hold."""
    path = tmp_path_factory.mktemp("take") / "a.mid"
    heading = Heading(BEGAN, "x", DEFAULT_MAP, crotchet_s=0.15)
    file, at_s = TakeFile(path, heading), 0.0
    written: list[Timed] = []
    for block in blocks:
        timed = []
        for pause_s, message in block:
            at_s += pause_s
            timed.append(Timed(at_s, message))
        file.append(timed)
        written.extend(timed)
        take, now_s, theirs = read_take(path), 0.0, []
        for told in mido.MidiFile(path):
            now_s += told.time
            if not told.is_meta:
                theirs.append((now_s, bytes(told.bytes())))
        assert [encode(each.message) for each in take.messages] == [data for _, data in theirs]
        assert [each.at_s for each in take.messages] == pytest.approx([at for at, _ in theirs], abs=1e-6)
        assert [each.at_s for each in take.messages] == pytest.approx([each.at_s for each in written], abs=0.0001)
    file.abandon()


def test_the_file_is_whole_after_every_single_write(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whenever the program dies between two writes, what was complete before them reads back, and strictly so."""
    path = tmp_path / "a.mid"
    file = TakeFile(path, FREE_PLAY)
    seen: list[int] = []
    really_write = TakeFile._write_at

    def write_and_look(self: TakeFile, offset: int, data: bytes) -> None:
        really_write(self, offset, data)
        seen.append(len(read_take(path).messages))

    monkeypatch.setattr(TakeFile, "_write_at", write_and_look)
    for rank in range(0, len(SCALE), 2):
        file.append(SCALE[rank : rank + 2])
    file.finish(1.0)
    assert seen == sorted(seen)
    assert seen[-1] == len(SCALE)
    assert [each.type for each in mido.MidiFile(path).tracks[0]].count("end_of_track") == 1


_PLAYER = """
import sys, time
from datetime import UTC, datetime
from pathlib import Path
from companion.midi.takes.heading import Heading
from companion.midi.stream.line import Timed
from companion.midi.stream.messages import NoteOn
from companion.midi.maps.note_map import DEFAULT_MAP
from companion.midi.takes.recorder import Recorder
began = time.perf_counter()
recorder = Recorder(Path(sys.argv[1]), Heading(datetime.now(UTC), "x", DEFAULT_MAP), began_s=began)
while True:
    now = time.perf_counter()
    recorder.add(Timed(now, NoteOn(0, 60 + int((now - began) * 100) % 20)))
    print(now - began, flush=True)
    time.sleep(0.01)
"""


def test_a_program_killed_mid_tune_loses_a_quarter_of_a_second_at_most(tmp_path: Path) -> None:
    """SIGKILL, which nothing can catch, at a moment when it has played for more than a second and a half."""
    with subprocess.Popen(
        [sys.executable, "-c", _PLAYER, tmp_path], cwd=ROOT, stdout=subprocess.PIPE, text=True
    ) as player:
        assert player.stdout is not None
        said = [float(player.stdout.readline())]
        while said[-1] < 1.6:
            said.append(float(player.stdout.readline()))
        player.send_signal(signal.SIGKILL)
        said.extend(float(line) for line in player.stdout.read().split("\n")[:-1])
    (path,) = tmp_path.iterdir()
    take = read_take(path)
    assert take.messages[-1].at_s > said[-1] - 0.25
    assert [each.at_s for each in take.messages] == pytest.approx(said[: len(take.messages)], abs=0.0001)


def record(folder: Path, messages: Sequence[Timed] = SCALE, heading: Heading = FREE_PLAY) -> Recorder:
    """A recorder to which messages were given, on a clock that began at 100 s."""
    recorder = Recorder(folder, heading, began_s=100.0)
    for each in messages:
        recorder.add(Timed(100.0 + each.at_s, each.message))
    return recorder


def test_a_take_in_hand_is_the_take_on_disk(tmp_path: Path) -> None:
    """To within a tick; and the folder is made if need be."""
    take = record(tmp_path / "new" / "takes").finish(102.0)
    assert take is not None
    assert take.path is not None
    again = read_take(take.path)
    assert again.heading == take.heading
    assert [each.message for each in again.messages] == [each.message for each in take.messages]
    assert [each.at_s for each in again.events] == pytest.approx([each.at_s for each in take.events], abs=0.0001)
    assert [each.note for each in again.events if isinstance(each, Sounded) and each.note is not None] == list(Note)


def test_a_take_on_the_keys_tells_hole_states(tmp_path: Path) -> None:
    """The keys are an instrument with sensors like any other."""
    thumb = Timed(0.5, NoteOn(15, 60))
    take = record(tmp_path, [thumb], Heading(BEGAN, "keys", KEYS_MAP)).finish(101.0)
    assert take is not None
    assert take.path is not None
    (event,) = read_take(take.path).events
    assert isinstance(event, Fingered)
    assert event.state == HoleState.of_closed([Finger.THUMB])


def test_a_take_without_a_map_is_named_by_the_likeliest(tmp_path: Path) -> None:
    """The whole take is known when it is read, so that its first notes are named as well as its last."""
    take = record(tmp_path, heading=Heading(BEGAN, "x")).finish(102.0)
    assert take is not None
    assert [each.note for each in take.events if isinstance(each, Sounded) and each.note is not None] == list(Note)


def test_nothing_played_leaves_no_file(tmp_path: Path) -> None:
    """An attempt that was not made is no take."""
    assert record(tmp_path, []).finish(101.0) is None
    assert list(tmp_path.iterdir()) == []


def test_two_takes_of_one_second_have_two_names(tmp_path: Path) -> None:
    """Neither writes over the other."""
    paths = {recorder.path for recorder in (record(tmp_path), record(tmp_path)) if recorder.finish(101.0)}
    assert len(paths) == 2


def test_no_folder_costs_a_line_and_not_the_take(tmp_path: Path) -> None:
    """A file stands where the folder should be: the take is kept in memory, and that is said."""
    (tmp_path / "taken").write_text("")
    recorder = record(tmp_path / "taken")
    take = recorder.finish(101.0)
    assert recorder.trouble
    assert "\n" not in recorder.trouble
    assert take is not None
    assert take.path is None
    assert len(take.messages) == len(SCALE)


_FILLED = """
import resource, signal, sys, time
from datetime import UTC, datetime
from pathlib import Path
from companion.midi.takes.heading import Heading
from companion.midi.stream.line import Timed
from companion.midi.stream.messages import NoteOn
from companion.midi.takes.recorder import WRITE_EVERY_S, Recorder
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv[2]), resource.RLIM_INFINITY))
recorder = Recorder(Path(sys.argv[1]), Heading(datetime.now(UTC), "x"), began_s=0.0)
for step in range(1000):
    recorder.add(Timed(step * 0.01, NoteOn(0, 69 + step % 2)))
    if step == 50:
        time.sleep(4 * WRITE_EVERY_S)
take = recorder.finish(10.0)
print(len(take.messages), recorder.trouble)
"""


@pytest.mark.parametrize("room_bytes", [10, 1000])
def test_a_disk_that_fills_costs_a_line_and_not_the_take(tmp_path: Path, room_bytes: int) -> None:
    """The system refuses to let the file grow: the whole take stays in memory, and what was written reads back."""
    words = [sys.executable, "-c", _FILLED, str(tmp_path), str(room_bytes)]
    done = subprocess.run(words, cwd=ROOT, capture_output=True, text=True, check=True)
    count, trouble = done.stdout.split(" ", 1)
    assert int(count) == 1000
    assert "file too large" in trouble
    assert trouble.count("\n") == 1
    assert [len(read_take(path).messages) for path in tmp_path.iterdir()] == ([51] if room_bytes == 1000 else [])


def test_takes_are_listed_oldest_first_and_what_is_none_is_told(tmp_path: Path) -> None:
    """A file that cannot be read is a line beside the list."""
    later = Heading(datetime(2026, 5, 1, tzinfo=UTC), "x", DEFAULT_MAP)
    write(tmp_path / "a.mid", later, SCALE)
    write(tmp_path / "b.mid", FREE_PLAY, SCALE)
    (tmp_path / "c.mid").write_text("no take")
    listing = list_takes(tmp_path)
    assert [each.heading.began for each in listing.takes] == [BEGAN, later.began]
    assert [each.where for each in listing.problems] == [str(tmp_path / "c.mid")]
    assert list_takes(tmp_path / "none").takes == ()


def test_a_summary_agrees_with_the_take(tmp_path: Path) -> None:
    """Heading, number of messages and end."""
    path = write(tmp_path / "a.mid", ASKED, SCALE, end_s=3.0)
    summary, take = read_summary(path), read_take(path)
    assert (summary.heading, summary.messages, summary.path) == (take.heading, len(take.messages), take.path)
    assert summary.end_s == pytest.approx(take.end_s)


def test_a_midi_file_from_elsewhere_is_free_play(tmp_path: Path) -> None:
    """Written by mido, with a tempo of its own."""
    track = mido.MidiTrack([mido.MetaMessage("set_tempo", tempo=1_000_000)])
    track.extend(mido.Message("note_on", note=number, time=480) for number in DEFAULT_MAP.numbers)
    mido.MidiFile(tracks=[track]).save(tmp_path / "a.mid")
    take = read_take(tmp_path / "a.mid")
    assert take.heading.tune is None
    assert take.events == tuple(Sounded(rank + 1.0, note) for rank, note in enumerate(Note))


@settings(max_examples=200)
@given(st.data())
def test_a_spoilt_file_is_told_in_one_line(tmp_path_factory: pytest.TempPathFactory, data: st.DataObject) -> None:
    """Bytes changed or cut off anywhere: it is read, or refused as a user's mistake."""
    path = tmp_path_factory.mktemp("take") / "a.mid"
    whole = write(path, ASKED, SCALE, end_s=3.0).read_bytes()
    spoilt = bytearray(whole[: data.draw(st.integers(0, len(whole)))])
    for _ in range(data.draw(st.integers(0, 3)) if spoilt else 0):
        spoilt[data.draw(st.integers(0, len(spoilt) - 1))] = data.draw(st.integers(0, 255))
    path.write_bytes(spoilt)
    told = ""
    try:
        read_take(path)
    except UserError as error:
        told = str(error)
    assert "\n" not in told


def test_the_hash_tells_tunes_apart_by_what_is_played() -> None:
    """A gracenote, a length and the order count; the title does not."""
    base = tune([note("A"), note("c", graces="g")])
    others = (
        tune([note("A"), note("c", graces="d")]),
        tune([note("A"), note("c", Fraction(1, 4), graces="g")]),
        tune([note("A"), note("c", graces="g")], order=(0, 0)),
    )
    assert content_hash(base) == content_hash(tune([note("A"), note("c", graces="g")]))
    assert len({content_hash(each) for each in (base, *others)}) == 4
