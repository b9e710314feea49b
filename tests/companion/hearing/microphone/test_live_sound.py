"""A chanter that sounds before a microphone, through a real sound system: what is heard of it, when, what is kept."""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from companion.hearing.files.sound_file import open_sound
from companion.hearing.microphone.driver import JACK_INPUTS
from companion.hearing.microphone.source import MicrophoneSource, MicrophoneState
from companion.midi.maps.note_map import DEFAULT_MAP
from companion.midi.stream.line import Timed
from companion.midi.stream.messages import NoteOff, NoteOn
from tests.companion.hearing.microphone.room import (
    FRAME_S,
    PERIOD,
    microphones,
    only_jack,
    player,
    some_take,
    until,
    voice_of,
)
from tests.companion.midi.jack import jack_server
from tests.hearing.recording import RATE_HZ, Samples, TrueRecording

STRAYS_S = 0.08
"""JACK's dummy driver keeps no time on a busy computer: it stands still for some 10 ms now and then."""

STEP = 0.51 / 32768.0


@dataclass(frozen=True, slots=True)
class Session:
    """A tune that was played before a microphone whose chanter was known.

    came: the messages, each with when it was fetched. began_s: when the tune's first sample was handed to JACK.
    asked_s: from when on it was to be recorded.
    """

    names: tuple[str, ...]
    source: MicrophoneSource
    came: tuple[tuple[float, Timed], ...]
    take: TrueRecording
    began_s: float
    asked_s: float
    loudest_db: float
    samples: Samples
    path: Path


@pytest.fixture(scope="module")
def session(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Session]:
    """One session for all tests here, since it takes as long as it sounds."""
    folder = tmp_path_factory.mktemp("session")
    take, path = some_take(), folder / "take.flac"
    with pytest.MonkeyPatch.context() as patch:
        only_jack(patch, folder)
        with jack_server(PERIOD), player() as chanter, microphones() as heard:
            source = heard.listen(JACK_INPUTS)
            source.use_kept(voice_of(take))
            until(heard, lambda: source.state is MicrophoneState.WAITING)
            chanter.connect()
            asked_s = time.perf_counter() - 0.1
            source.begin_recording(path, asked_s)
            chanter.play(take.samples, folder)
            came, loudest_db = [], float("-inf")
            ends_s = time.perf_counter() + take.duration_s + 0.3
            while time.perf_counter() < ends_s:
                heard.refresh()
                came += [(time.perf_counter(), each) for each in source.fetch()]
                loudest_db = max(loudest_db, source.level_db)
                time.sleep(FRAME_S)
            source.end_recording(time.perf_counter())
            until(heard, lambda: source.recording is not None and source.recording.length_s is not None)
            began_s, names = chanter.time_of(0), heard.names
            samples = np.concatenate(list(open_sound(path).blocks()))
            yield Session(names, source, tuple(came), take, began_s, asked_s, loudest_db, samples, path)


def test_what_jack_captures_is_a_microphone(session: Session) -> None:
    """The only one, where there is no other sound system; nothing is wrong with it."""
    assert session.names == (JACK_INPUTS,)
    assert session.source.trouble == ""
    assert session.source.state is MicrophoneState.HEARING
    assert session.source.share_learnt == 1.0
    assert not session.source.clipped


def test_a_microphone_is_heard_as_a_port_is(session: Session) -> None:
    """Nearly all notes come as messages of the default map, in order, stamped with when they began."""
    begun = [each for _, each in session.came if isinstance(each.message, NoteOn)]
    assert [each.at_s for each in begun] == sorted(each.at_s for each in begun)
    melody = [note for note in session.take.notes if note.length_s > 0.1]
    strays = []
    for note in melody:
        began_s = session.began_s + note.onset_s
        numbers = {DEFAULT_MAP.number(each) for each in note.accepted}
        near = [each.at_s - began_s for each in begun if number_of(each) in numbers]
        strays.append(min(near, key=abs, default=9.0))
    assert len(melody) > 6
    assert np.mean(np.abs(strays) < 2 * STRAYS_S) > 0.9
    assert abs(float(np.median(strays))) < STRAYS_S


def number_of(each: Timed) -> int:
    """The note number of a message that has one."""
    assert isinstance(each.message, NoteOn | NoteOff)
    return each.message.number


def test_each_note_is_let_go_once_the_next_has_begun(session: Session) -> None:
    """As by a chanter that is played on: never more than two sound, and none does at the end."""
    sounding: set[int] = set()
    for _, each in session.came:
        if isinstance(each.message, NoteOn):
            sounding.add(each.message.number)
            assert len(sounding) <= 2
        else:
            assert isinstance(each.message, NoteOff)
            sounding.remove(each.message.number)
    assert sounding == set()


def test_notes_are_told_soon(session: Session) -> None:
    """Within a fifth of a second on a busy computer, whatever that does to single ones."""
    late = [fetched_s - each.at_s for fetched_s, each in session.came if isinstance(each.message, NoteOn)]
    assert 0.0 < float(np.median(late)) < 0.2


def test_the_level_is_that_of_what_sounds(session: Session) -> None:
    """In dB below the loudest there can be; the take's greatest sample stands at half of that."""
    assert -30.0 < session.loudest_db < -3.0


def test_what_sounded_is_recorded(session: Session) -> None:
    """Sample by sample as it was played, to the last of 16 bits, at least in one half: JACK may lose some of it."""
    middle = len(session.take.samples) // 2
    halves = session.take.samples[:middle], session.take.samples[middle:]
    assert max(_share_kept(half, session.samples) for half in halves) > 0.99


def _share_kept(played: Samples, kept: Samples) -> float:
    """Which share of the samples is found again, where all of them fit best."""
    size = 1 << (len(kept) + len(played)).bit_length()
    likeness = np.fft.irfft(np.fft.rfft(kept, size) * np.conj(np.fft.rfft(played, size)), size)
    found = kept[int(likeness[: len(kept)].argmax()) :][: len(played)]
    return float(np.mean(np.abs(found - played[: len(found)]) <= STEP)) * len(found) / len(played)


def test_it_is_known_when_the_recording_begins(session: Session) -> None:
    """Where it was asked for, a tenth of a second before the order."""
    recording = session.source.recording
    assert recording is not None
    assert recording.begins_s == pytest.approx(session.asked_s, abs=STRAYS_S)
    assert recording.length_s == pytest.approx(len(session.samples) / RATE_HZ)
    assert recording.length_s == pytest.approx(session.take.duration_s, abs=3.0)
    assert recording.path == session.path
    assert recording.trouble == ""
