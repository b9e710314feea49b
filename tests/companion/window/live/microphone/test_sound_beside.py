"""What is played on a microphone is kept as a take with its sound, and heard again from that sound."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path
from random import Random

import numpy as np
import pytest

from companion.hearing.files.sound_file import open_sound
from companion.hearing.takes.sound_take import hear_take_sound
from companion.midi.takes.reading import list_takes, read_take, sound_beside, voice_beside
from companion.schedule.timing import Timing
from companion.score.model import Tune
from companion.window.live.ear import all_told
from companion.window.live.microphone.sound_hearing import NOTHING_TO_MEND, hearing_words
from companion.window.live.tune_run import TuneRun
from tests.companion.hearing.drills import drill, drill_tune, kept_voice
from tests.companion.hearing.microphone.room import voice_of
from tests.companion.listen.playing import tune_of
from tests.companion.window.live.microphone.listed import DESK
from tests.companion.window.live.microphone.wired import WiredDesk
from tests.hearing.recording import Samples, TrueRecording
from tests.hearing.sources.made import SoundSource, sounding
from tests.hearing.takes import cut
from tests.learners.learner import Learner
from tests.learners.player import simulate

MUSIC = "A2{g}B2c2{d}A2|e2{g}f2e2d2|c2{g}B2A2B2|{g}c2d2e2c2|a2{g}e2d2{g}d2|B2{g}G2A4|"

pytestmark = pytest.mark.same_everywhere


@cache
def performance() -> tuple[Tune, TrueRecording]:
    """Six bars with gracenotes, some twelve seconds of them, played without a fault on a practice chanter."""
    tune = tune_of(MUSIC)
    take = simulate(tune, Learner(120.0, spread=0.0, drift=0.0), 3)
    return tune, sounding(cut("whole", take, 1_000.0, Random(0)), SoundSource.PRACTICE_VOICE, 3)


@cache
def voice() -> bytes:
    """What is known of its chanter."""
    recording = performance()[1]
    return voice_of(replace(recording, samples=recording.samples[: 6 * recording.rate_hz]))


@pytest.fixture
def desk(tmp_path: Path) -> WiredDesk:
    """A microphone that knows the chanter."""
    desk = WiredDesk(tmp_path)
    microphone = desk.live.choice.microphone
    assert microphone is not None
    microphone.use_kept(voice())
    return desk


def running(desk: WiredDesk, tune: Tune, position_s: float = 0.0) -> Callable[[float], TuneRun]:
    """A run of the tune that stands at `position_s` now."""
    began_s = desk.clock()
    return lambda now_s: TuneRun(tune, Timing(), now_s, position_s + now_s - began_s)


def silence(seconds: float) -> Samples:
    """Nothing sounds."""
    return np.zeros(round(seconds * 48_000), np.float32)


def test_a_run_is_kept_with_its_sound_and_heard_again_from_it(desk: WiredDesk) -> None:
    """Live, every note is placed where it began; the second hearing of a faultless take finds nothing, and the review
    of the take that was kept hears the same in the same sound."""
    tune, recording = performance()
    desk.frames(silence(0.5), lambda now_s: None)
    desk.frames(recording.samples, running(desk, tune))
    desk.settle()
    (summary,) = list_takes(desk.folder / "takes").takes
    take = read_take(summary.path)
    assert take.sound == sound_beside(summary.path)
    assert take.heading.source == DESK
    assert take.heading.sound_starts_s == pytest.approx(0.0, abs=0.02)
    begun = [each.at_s for each in take.events if getattr(each, "note", None) is not None]
    true = [each.onset_s for each in recording.notes]
    near = sum(min(abs(at_s - each) for each in begun) < 0.03 for at_s in true)
    assert near > 0.95 * len(true)
    second = desk.live.ear.before
    assert second is not None
    assert second.heard.judged is not None
    assert second.heard.judged.verdict.gracenotes.of > 0
    assert [each.text for each in second.heard.findings] == []
    again = hear_take_sound(take)
    assert again.take.events == second.heard.judged.events
    starts = np.array([each.at_s for each in again.heard.notes])
    assert np.median(np.abs(starts[:, np.newaxis] - np.array(true)).min(axis=1)) < 0.01
    desk.close()


def test_a_drill_of_few_notes_is_heard_from_its_sound_too(tmp_path: Path) -> None:
    """By the voice that was known, which is kept beside it, so that a review hears the same."""
    desk = WiredDesk(tmp_path)
    microphone = desk.live.choice.microphone
    assert microphone is not None
    microphone.use_kept(kept_voice(SoundSource.PIPE_VOICE))
    recording = drill(SoundSource.PIPE_VOICE)
    desk.frames(silence(0.5), lambda now_s: None)
    desk.frames(recording.samples, running(desk, drill_tune()))
    desk.settle()
    (summary,) = list_takes(desk.folder / "takes").takes
    assert voice_beside(summary.path).read_bytes() == microphone.voice
    second = desk.live.ear.before
    assert second is not None
    assert second.heard.judged is not None
    assert second.heard.findings == ()
    assert hear_take_sound(read_take(summary.path)).take.events == second.heard.judged.events
    desk.close()


def test_where_nothing_is_played_neither_file_is_left(desk: WiredDesk) -> None:
    """Nor where something was played before the run, nor where only a run is over."""
    tune, recording = performance()
    desk.frames(recording.samples[: 3 * 48_000], lambda now_s: None)
    desk.frames(silence(1.0), lambda now_s: None)
    desk.frames(silence(2.0), running(desk, tune))
    desk.settle()
    desk.close()
    folder = desk.folder / "takes"
    assert not folder.exists() or list(folder.iterdir()) == []


def test_a_run_that_ends_while_its_chanter_is_learnt_is_kept_by_its_sound(tmp_path: Path) -> None:
    """No note of it was told; all are heard in it afterwards, and that they are too few to judge is said. Where nothing
    sounds meanwhile no take is left."""
    tune, recording = performance()
    desk = WiredDesk(tmp_path)
    desk.frames(recording.samples[: 3 * 48_000], running(desk, tune))
    desk.frames(silence(1.0), lambda now_s: None)
    desk.frames(silence(2.0), running(desk, tune))
    desk.settle()
    second = desk.live.ear.before
    assert second is not None
    (line,) = all_told(second.heard, tune, Timing()).lines
    assert line == "Only 7 notes were played, too few to judge; play more of the tune."
    desk.close()
    assert len(list((desk.folder / "takes").iterdir())) == 2
    (summary,) = list_takes(desk.folder / "takes").takes
    take = read_take(summary.path)
    assert take.events == ()
    heard = hear_take_sound(take)
    true = [each.note for each in recording.notes if each.length_s > 0.1 and each.stop_s < 3.0]
    assert [each.note for each in heard.heard.notes if each.length_s > 0.1][: len(true)] == true


def test_a_run_whose_chanter_is_learnt_meanwhile_is_judged_once_it_was_heard(tmp_path: Path) -> None:
    """Not only when it is opened: it is said how far that is, and then what is to be mended, or that nothing is."""
    tune, recording = performance()
    desk = WiredDesk(tmp_path)
    desk.frames(recording.samples[: 4 * 48_000], running(desk, tune))
    desk.frames(silence(0.1), lambda now_s: None)
    second = desk.live.ear.before
    assert second is not None
    assert second.heard.unheard == hearing_words(0.0)
    told = all_told(second.heard, tune, Timing())
    assert told.lines == (hearing_words(0.0),)
    assert not told.amiss
    desk.settle()
    assert second.is_over
    assert second.heard.unheard == ""
    assert second.heard.judged is not None
    assert second.heard.findings == ()
    assert NOTHING_TO_MEND in all_told(second.heard, tune, Timing()).lines
    desk.close()


def test_what_the_chanter_is_heard_by_is_kept_while_it_is_played(desk: WiredDesk) -> None:
    """So that it is there where the program is killed in the midst of a take."""
    tune, recording = performance()
    desk.frames(silence(0.5), lambda now_s: None)
    desk.frames(recording.samples[: 4 * 48_000], running(desk, tune))
    (take,) = (desk.folder / "takes").glob("*.mid")
    until_s = time.monotonic() + 10.0
    while not voice_beside(take).exists() and time.monotonic() < until_s:
        time.sleep(0.01)
    assert voice_beside(take).read_bytes() == voice()
    desk.close()


def test_each_run_has_its_own_sound(desk: WiredDesk) -> None:
    """One begins as the other ends, as where a tune is played over and over; closing the window ends the last."""
    tune, recording = performance()
    for rank in range(3):
        desk.frames(recording.samples[rank * 96_000 : (rank + 1) * 96_000], running(desk, tune, 0.5))
    desk.close()
    takes = [read_take(each.path) for each in list_takes(desk.folder / "takes").takes]
    assert len(takes) == 3
    for take in takes:
        assert take.sound is not None
        sound = open_sound(take.sound)
        length_s = sound.frames / sound.rate_hz
        ends_s = take.sound_begins_s + length_s
        assert take.sound_begins_s == pytest.approx(0.5, abs=0.15)
        assert ends_s == pytest.approx(take.end_s, abs=0.1)
