"""A microphone tells late, and most of all once its chanter is learnt: the ear, the lanes and the take know."""

from __future__ import annotations

from pathlib import Path

import pytest

from companion.listen.model.played import Sounded
from companion.midi.takes.reading import list_takes, read_take
from companion.schedule.timing import Timing
from companion.window.live.microphone.followed import CAUGHT_UP_WITHIN_S, TOLD_WITHIN_S
from companion.window.live.tune_run import TuneRun
from tests.companion.listen.playing import asked_of, played_as, tune_of
from tests.companion.window.live.microphone.listed import DESK, MicrophoneDesk

pytestmark = pytest.mark.same_everywhere

MUSIC = "A2{g}B2c2{d}A2|e2{g}f2e2d2|c2{g}B2A2B2|{g}c2d2e2c2|" * 2
FRAME_S = 1.0 / 60.0


def played(desk: MicrophoneDesk, take: list[Sounded], told_from_s: float, late_s: float) -> None:
    """A take is played while the tune runs from 0; each note is told `late_s` late, none before `told_from_s`."""
    tune, began_s, waiting = tune_of(MUSIC), desk.clock(), list(take)
    while desk.clock() - began_s < take[-1].at_s + late_s + 0.1:
        now_s = desk.clock() - began_s
        desk.state("hearing" if now_s >= told_from_s else "learning")
        while waiting and now_s >= max(waiting[0].at_s + late_s, told_from_s):
            each = waiting.pop(0)
            desk.hears(each.note, began_s + each.at_s)
        desk.live.gather(TuneRun(tune, Timing(), desk.clock(), now_s))
        desk.clock.now_s += FRAME_S


def test_notes_told_late_are_judged_where_they_were_played(tmp_path: Path) -> None:
    """Also those of the first seconds, told all at once when the chanter is known: nothing is found in either hearing,
    and the take has every note at its place."""
    take = played_as(asked_of(MUSIC), start_s=0.0)
    desk = MicrophoneDesk(tmp_path, takes=True)
    desk.live.listen_to_microphone(DESK)
    desk.live.gather(None)
    played(desk, take, told_from_s=6.0, late_s=0.08)
    assert desk.live.ear.findings == ()
    assert desk.source.recording is not None
    desk.answer("unrecorded", str(desk.source.recording.path), "the disk takes no more", "make room", "")
    desk.live.gather(None)
    desk.live.ear.wait()
    before = desk.live.ear.before
    assert before is not None
    assert before.heard.findings == ()
    desk.live.close()
    (kept,) = list_takes(tmp_path / "takes").takes
    told = [(round(each.at_s, 3), each.note) for each in read_take(kept.path).events if isinstance(each, Sounded)]
    expected = [(round(each.at_s, 3), each.note) for each in take]
    assert [note for _, note in told] == [note for _, note in expected]
    assert max(abs(one - other) for (one, _), (other, _) in zip(told, expected, strict=True)) < 0.002


def test_what_was_played_before_a_run_is_no_part_of_it(tmp_path: Path) -> None:
    """Though it is told while the run goes on."""
    desk = MicrophoneDesk(tmp_path, takes=True)
    desk.live.listen_to_microphone(DESK)
    desk.state("learning")
    desk.live.gather(None)
    began_s = desk.clock()
    desk.clock.now_s += 5.0
    take = played_as(asked_of(MUSIC), start_s=0.0)[:4]
    for rank in range(60):
        desk.state("hearing")
        for each in take if rank == 30 else ():
            desk.hears(each.note, began_s + each.at_s)
        desk.live.gather(TuneRun(tune_of(MUSIC), Timing(), desk.clock(), rank * FRAME_S))
        desk.clock.now_s += FRAME_S
    assert not desk.live.ear.hears
    desk.live.close()
    assert not list_takes(tmp_path / "takes").takes


def test_time_passes_for_the_ear_as_far_as_all_was_told(tmp_path: Path) -> None:
    """With a port that is now; with a microphone somewhat earlier, and at first only as far as the last note."""
    desk = MicrophoneDesk(tmp_path)
    assert desk.live.choice.heard_until_s == desk.clock()
    desk.live.listen_to_microphone(DESK)
    desk.state("hearing")
    desk.live.gather(None)
    assert desk.live.choice.heard_until_s == float("-inf")
    desk.clock.now_s += CAUGHT_UP_WITHIN_S
    desk.live.gather(None)
    assert desk.live.choice.heard_until_s == desk.clock() - TOLD_WITHIN_S
