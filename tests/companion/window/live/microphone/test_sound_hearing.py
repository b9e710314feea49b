"""What the second hearing of a run by its sound says, and when it is left to what was heard live."""

from __future__ import annotations

from dataclasses import replace

import pytest

from companion.hearing.heard import HeardNote, HeardSound, SoundTrouble
from companion.listen.judgement import judge
from companion.listen.model.asked import ask_for
from companion.listen.model.played import Sounded
from companion.listen.model.terms import AT_SPEED
from companion.schedule.timing import Timing
from companion.window.lanes.told import MOST_LINES
from companion.window.live.ear import all_told
from companion.window.live.microphone.sound_hearing import ENOUGH_NOTES, is_enough, melody_alone, not_fine
from companion.window.live.second_hearing import HeardRun
from companion.window.live.tune_run import TuneRun
from fingering.notes import Note
from tests.companion.listen.playing import asked_of, played_as, tune_of

SOUND = HeardSound(240.0, (240.0,) * 9, False, -40.0, 0.0, 0.012, 9.0, ())
NOTE = HeardNote(0.0, 1.0, Note.B)
MUSIC = "A2{g}B2c2{d}A2|e2{g}f2e2d2|c2{g}B2A2B2|{g}c2d2e2c2|" * 2


@pytest.mark.parametrize(
    ("changes", "line"),
    [
        ({}, ""),
        ({"echo_s": 0.6, "notes": (NOTE,) * 20, "maybe": (NOTE,) * 3}, "The room's echo covers"),
        ({"echo_s": 0.6, "notes": (NOTE,) * 20, "maybe": (NOTE,) * 2}, ""),
        ({"echo_s": 0.3, "notes": (NOTE,) * 20, "maybe": (NOTE,) * 3}, ""),
        ({"echo_s": 0.3, "notes": (NOTE,) * 20, "maybe": (NOTE,) * 11}, "The room's echo covers"),
        ({"notes": (NOTE,) * 20, "maybe": (NOTE,) * 2}, ""),
        ({"drones": True}, ""),
        ({"drones": True, "notes": (NOTE,) * 20, "maybe": (NOTE,)}, "Drones cover"),
        ({"noise_db": -8.0}, "Noise or other sound covers"),
        (
            {"echo_s": 0.6, "noise_db": -8.0, "notes": (NOTE,) * 20, "maybe": (NOTE,) * 3},
            "The room's echo and noise or other sound cover",
        ),
    ],
)
def test_what_covers_short_sounds_is_said(changes: dict[str, object], line: str) -> None:
    """An echo, drones or noise that hide many of them, each by its name; of a sound in which they are heard nothing."""
    told = not_fine(replace(SOUND, **changes))  # type: ignore[arg-type]
    assert told == (f"{line} the short sounds: gracenotes and crossings were not judged." if line else "")


@pytest.mark.parametrize("trouble", SoundTrouble)
def test_what_makes_a_sound_hard_to_hear_is_said_with_what_to_do(trouble: SoundTrouble) -> None:
    """As a sentence."""
    line = not_fine(replace(SOUND, troubles=(trouble,)))
    assert line[0].isupper()
    assert line.casefold() == f"{trouble.value}.".casefold()


@pytest.mark.parametrize("slips", [0, 1, 5])
def test_that_line_is_the_last_and_has_room(slips: int) -> None:
    """Beside what is to be mended, of which the most urgent comes first."""
    tune = tune_of(MUSIC)
    take = played_as(asked_of(MUSIC), start_s=0.0)
    wrong = [rank for rank, each in enumerate(take) if each.note is Note.E][:slips]
    take = [replace(each, note=Note.LOW_G) if rank in wrong else each for rank, each in enumerate(take)]
    judged = judge(tune, take)
    run = TuneRun(tune, Timing(), 0.0, 0.0)
    line = melody_alone(replace(SOUND, echo_s=0.5, drones=True, noise_db=-8.0))
    heard = HeardRun(run, ask_for(tune, AT_SPEED), judged.findings, judged=judged, not_fine=line)
    lines = all_told(heard, tune, Timing()).lines
    assert lines[-1] == line
    assert len(lines) <= MOST_LINES
    assert (len(lines) > 1) is (slips > 0)


def test_a_few_notes_or_few_different_ones_are_judged_as_they_were_heard_live() -> None:
    """Their sound alone would not teach enough of the chanter."""
    many = [Sounded(0.3 * rank, Note(rank % 6)) for rank in range(ENOUGH_NOTES)]
    assert is_enough(many)
    assert not is_enough(many[:-1])
    assert not is_enough([Sounded(each.at_s, Note(each.note % 4)) for each in many if each.note is not None])
