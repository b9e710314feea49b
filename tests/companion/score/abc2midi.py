"""abc2midi as a referee: what it plays, as pitches and onsets."""

from __future__ import annotations

import re
import subprocess
from fractions import Fraction
from pathlib import Path

import mido

from companion.score.model import Tune
from companion.score.performance import performance
from tests.referees import require_program

# abc2midi shifts some onsets by one tick, and rounds those of tuplets.
TOLERANCE_TICKS = 2

Sound = tuple[int, int]


def without_gracenotes(abc: str) -> str:
    """The tune without gracenotes, which take time from the melody in abc2midi."""
    return re.sub(r"\{[^{}]*\}", "", abc)


def without_trills(abc: str) -> str:
    """The tune without trills and rolls, which abc2midi plays as many notes."""
    lines = abc.replace("!trill!", "").replace("!roll!", "").splitlines(keepends=True)
    return "".join(
        line if re.match("[A-Za-z]:", line) else re.sub(r"[T~](?=[\^_=]?[A-Ga-g])", "", line) for line in lines
    )


def heard(abc: str, reference: str, folder: Path) -> tuple[list[Sound], int]:
    """(MIDI tick, MIDI note) of each note that abc2midi plays of tune X:reference, and its ticks in a whole note."""
    program = require_program("abc2midi")
    source, target = folder / "tune.abc", folder / "tune.mid"
    source.write_text(abc, encoding="utf-8")
    target.unlink(missing_ok=True)
    subprocess.run([program, source, reference, "-o", target], check=True, capture_output=True, timeout=20)
    file = mido.MidiFile(target)
    sounds: list[Sound] = []
    for track in file.tracks:
        now = 0
        for message in track:
            now += message.time
            if message.type == "note_on" and message.velocity:
                sounds.append((now, message.note))
    return sounds, 4 * file.ticks_per_beat


def played(tune: Tune, whole: int) -> list[Sound]:
    """When each note of a tune sounds, as our reader has it: (time, MIDI note), `whole` to a whole note."""
    sounds: list[Sound] = []
    now = Fraction(0)
    for each in performance(tune):
        if each.note.note is not None:
            sounds.append((round(now * whole), each.note.note.midi))
        now += each.note.duration
    return sounds


def assert_agree(tune: Tune, abc: str, folder: Path) -> None:
    """Pitches are equal one by one, onsets within a tick or two."""
    theirs, whole = heard(without_gracenotes(abc), tune.reference, folder)
    ours = played(tune, whole)
    assert [pitch for _, pitch in ours] == [pitch for _, pitch in theirs]
    late = [
        (mine, yours) for (mine, _), (yours, _) in zip(ours, theirs, strict=True) if abs(mine - yours) > TOLERANCE_TICKS
    ]
    assert late == []
