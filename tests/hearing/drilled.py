"""How right short drills are heard, by themselves and by a voice that was learnt of the same chanter before.

``python3 -m tests.hearing.drilled --seed 7`` prints a table. What is drilled has 6 to 20 notes on one to four different
ones, is played without a fault, and is softer than what the voice was learnt from; so every finding is a false one.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from random import Random

import numpy as np

from companion.hearing.hear import SoundBlocks, hear
from companion.hearing.heard import HeardSound
from companion.hearing.kept_voice import voice_from_bytes
from companion.hearing.learnt import Learnt
from companion.hearing.takes.judging import judge_heard
from companion.score.model import Tune
from fingering.errors import UserError
from tests.companion.hearing.microphone.room import voice_of
from tests.companion.listen.playing import tune_of
from tests.hearing.measures import HearingScore, score_of, together
from tests.hearing.recording import RATE_HZ, TrueRecording
from tests.hearing.sources.made import SoundSource, sounding
from tests.hearing.takes import cut, plain_take
from tests.hearing.truth import NoteClass
from tests.learners.learner import Learner
from tests.learners.player import simulate

DRILLS = (
    "A2{g}A2{d}A2{g}A2|{e}A2{g}A4|",
    "{g}e2{A}e2{g}e2{A}e2|{gef}e2{g}e2{gef}e4|",
    "A2{g}B2{d}A2{g}B2|{d}A2{gBd}B2{gAd}A4|",
    "{gcd}c2{g}d2{g}e2{gcd}c2|{g}d2{g}e2{gcd}c4|",
    "A2{Gdc}d2A2{Gdc}d2|A2{Gdc}d2A2{Gdc}d2|A4|",
    "{g}A2{GAG}A2{g}B2{g}A2{GAG}A2|{g}A2{GAG}A4|",
    "{g}c2{GdGe}A2{g}c2{GdGe}A2|{g}B2{GdGe}A2{g}B2{GdGe}A4|",
    "f2{g}f2{g}e2{ag}a2|{gf}g2{g}f2{g}e4|",
    "{g}A2{g}B2{gcd}c2{g}d2|{gcd}c2{g}B2{g}A4|",
)
"""Ours: single gracenotes, strikes, doublings, throws, birls and taorluaths on few notes."""

TEMPO = 70.0
LEARNT_FROM_S = 60.0
SOFTER = np.float32(0.4)


@dataclass(frozen=True, slots=True)
class DrillScore:
    """What was heard of drills. findings: how many the judge told, though none is due; a drill that is refused, by the
    hearing or the judge, counts as one."""

    heard: HearingScore
    findings: int


def drills_heard(source: SoundSource, seed: int, known: Learnt | None) -> DrillScore:
    """All drills on one chanter, heard by what is known of it, None for nothing."""
    told = [_heard(tune, recording, known) for tune, recording in _played(source, seed)]
    return DrillScore(together(score for score, _ in told), sum(findings for _, findings in told))


def _played(source: SoundSource, seed: int) -> Iterator[tuple[Tune, TrueRecording]]:
    for music in DRILLS:
        tune = tune_of(music, f"1/4={TEMPO:g}")
        take = simulate(tune, Learner(TEMPO, spread=0.0, drift=0.0), seed)
        yield tune, sounding(cut(music, take, 1_000.0, Random(seed)), source, seed)


def _heard(tune: Tune, recording: TrueRecording, known: Learnt | None) -> tuple[HearingScore, int]:
    samples = SOFTER * np.asarray(recording.samples, np.float32)
    try:
        heard = hear(SoundBlocks(RATE_HZ, lambda: (samples,), len(samples)), known=known)
    except UserError:
        return score_of(recording.notes, ()), 1
    return score_of(recording.notes, [(each.at_s, each.stop_s, each.note) for each in heard.notes]), _told(tune, heard)


def _told(tune: Tune, heard: HeardSound) -> int:
    try:
        return len(judge_heard(tune, heard).findings)
    except UserError:
        return 1


def _row(source: SoundSource, name: str, score: DrillScore) -> str:
    heard = score.heard
    f1 = (f"{heard.f1(counted):.3f}" for counted in (NoteClass.MELODY, NoteClass.GRACENOTE))
    return f"| {' | '.join([source.value, name, *f1, f'{heard.false_per_100:.1f}', str(score.findings)])} |"


def main(arguments: Sequence[str] | None = None) -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=7)
    seed = parser.parse_args(arguments).seed
    print("| source | heard by | melody F1 | gracenote F1 | false per 100 | findings |")
    print("| --- | --- | --- | --- | --- | --- |")
    for source in SoundSource:
        known = voice_from_bytes(voice_of(sounding(plain_take(seed, LEARNT_FROM_S), source, seed)))
        print(_row(source, "itself", drills_heard(source, seed, None)), flush=True)
        print(_row(source, "a known voice", drills_heard(source, seed, known)), flush=True)


if __name__ == "__main__":
    main()
