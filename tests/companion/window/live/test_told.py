"""When what is told at once appears, how long it stays, and which of several findings it is."""

from __future__ import annotations

import pytest

from companion.listen.model.findings import Finding, FindingKind, finding_at
from companion.listen.model.played import Sounded
from companion.schedule.timing import Timing
from companion.window.lanes.told import EarSettings, Feedback, Told
from companion.window.live.ear import LiveEar
from companion.window.live.telling import AT_ONCE_S, LIT_S, Noticed, told_at_once
from companion.window.live.tune_run import TuneRun
from companion.window.play.play_state import first_state
from fingering.notes import Note
from tests.companion.listen.playing import FOUR_BARS, asked_of, index_of, played_as, tune_of

TUNE = asked_of(FOUR_BARS)
FRAME_S = 1.0 / 60.0


def noticed(kind: FindingKind, at_s: float, since_s: float) -> Noticed:
    """A finding that was told first at `since_s`."""
    return Noticed(finding_at(TUNE, 5, kind, at_s=at_s, text="x", cause="x", wanted="c", heard="e"), since_s)


@pytest.mark.parametrize("at_s", [9.0, 2.0])
def test_it_stays_from_when_it_was_told_however_long_before_it_was_heard(at_s: float) -> None:
    """A slow note played wrong ends, and is told, long after it began."""
    one = [noticed(FindingKind.WRONG_NOTE, at_s, since_s=10.0)]
    for now_s, lit in ((10.0, True), (10.0 + LIT_S, True), (10.1 + LIT_S, False), (10.0 + AT_ONCE_S, False)):
        told = told_at_once(TUNE, one, now_s)
        assert told.brief is not None
        assert (told.lit is one[0].finding) is lit
    assert told_at_once(TUNE, one, 10.1 + AT_ONCE_S) == Told(marked=(one[0].finding,))


def test_the_latest_is_told_and_of_several_the_most_urgent() -> None:
    """All of them are marked."""
    several = [
        noticed(FindingKind.WRONG_NOTE, 1.0, since_s=2.0),
        noticed(FindingKind.LATE, 4.0, since_s=5.0),
        noticed(FindingKind.WRONG_NOTE, 4.0, since_s=5.0),
    ]
    told = told_at_once(TUNE, several, 5.5)
    assert told.lit is several[2].finding
    assert len(told.marked) == 3


def test_a_wrong_note_is_told_with_the_next_note_and_its_finger_is_lit() -> None:
    """From the port to the words: within a quarter of a second of the next note's onset, and once only."""
    played, tune = 9, tune_of(FOUR_BARS)
    take, wrong = played_as(TUNE, start_s=0.0), index_of(TUNE, 9)
    take[wrong] = Sounded(take[wrong].at_s, Note.LOW_G)
    following_s = take[wrong + 1].at_s
    ear, schedule = LiveEar(), first_state((tune,), tune, Timing()).schedule
    ear.settings = EarSettings(Feedback.AT_ONCE)
    ear.begin(TuneRun(tune, Timing(), 0.0, 0.0))
    told: list[tuple[float, Told]] = []
    waiting = list(take)
    for frame in range(int((following_s + 4.0) / FRAME_S)):
        now_s = frame * FRAME_S
        while waiting and waiting[0].at_s <= now_s:
            ear.hear(waiting.pop(0))
        ear.pass_time(now_s)
        told.append((now_s, ear.told(tune, Timing(), schedule, now_s)))
    first_s, first = next((now_s, each) for now_s, each in told if each.brief)
    assert first_s - following_s <= 0.25
    assert first.lit is not None
    assert (first.lit.kind, first.lit.played) == (FindingKind.WRONG_NOTE, played)
    assert first.lit.fingers
    words = [each.brief.text if each.brief else "" for now_s, each in told if now_s >= first_s]
    assert set(words) == {f"bar {TUNE.played(played).bar.number}: low G for {_asked(first.lit)}"}
    assert ear.findings == (first.lit,)


def _asked(finding: Finding) -> str:
    return Note.from_letter(finding.asked).label
