"""How long the alignment takes and how right it is, beside parangonar's DualDTW; and how its cost grows.

Run as ``python3 -m tests.bench.bench_listen``. Both are given the same asked events and the same heard notes, with
faults and, the second time, with phrases begun again. A match is a heard note with the event that it was played for.
parangonar is given the gracenotes both as gracenotes and as notes with times of their own; its better result counts.
Then how long a finished take is heard in all, which is read once and told twice.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from random import Random

import numpy as np
from numpy.typing import NDArray

from companion.listen.align.aligner import Aligner
from companion.listen.model.asked import Asked, ask
from companion.listen.model.segments import Segment
from companion.listen.model.strictness import Strictness
from companion.listen.take.twice import read_take, tell_twice
from companion.schedule.build import build_schedule
from companion.schedule.events import EventKind
from companion.schedule.timing import Timing
from companion.score.model import Tune
from fingering.notes import Note
from tests.learners.learner import Learner
from tests.learners.player import simulate
from tests.learners.tunes import make_tune
from tests.referees import require_module

EVENTS = 1500
SIZES = (500, 1000, 2000, 4000, 8000, 16000)
TIME_GOAL_S = 0.15
WHOLE_GOAL_S = 0.2
RATIO_GOAL = 20.0
F1_GOAL = -0.005
FAULTS = 0.05


@dataclass(frozen=True, slots=True)
class HeardNote:
    """A note that was played, and the event that it was played for (None: for none)."""

    onset_s: float
    end_s: float
    note: Note
    event: int | None


def asked_of(events: int) -> Asked:
    """A made-up tune of at least so many events, as it is asked for."""
    return _asked(tune_of(events))


def tune_of(events: int) -> Tune:
    """A made-up tune of at least so many events."""
    bars = max(8, events // 50)
    while True:
        tune = make_tune(7, bars=bars, parts=1)
        if len(_asked(tune).schedule.events) >= events:
            return tune
        bars += 4


def _asked(tune: Tune) -> Asked:
    return ask(build_schedule(tune, Timing()))


def play(asked: Asked, events: int, draw: int, *, restarts: int = 0) -> list[HeardNote]:
    """The first events of a tune, played with a wandering tempo and faults; `restarts` times a bar or two again."""
    random = Random(draw)
    bars = [asked.tokens[token].first for token in asked.bar_starts if asked.tokens[token].first < events]
    again = {random.randrange(bars[2], events - 8) for _ in range(restarts)}
    notes: list[HeardNote] = []
    index, now_s = 0, 0.0
    while index < events:
        event = asked.schedule.events[index]
        grace = event.kind is EventKind.GRACENOTE
        wander = 1.2 + 0.1 * math.sin(now_s / 9.0)
        lasts_s = (event.end_s - event.start_s) * (1.0 if grace else wander) * random.gauss(1.0, 0.03)
        note, played_for = event.note, True
        fault = random.random()
        if fault < FAULTS / 2.0:
            index += 1
            continue
        if fault < FAULTS:
            note = Note(random.randrange(len(Note)))
        if notes and notes[-1].note is note:
            notes[-1] = HeardNote(notes[-1].onset_s, now_s + lasts_s, note, notes[-1].event)
        else:
            notes.append(HeardNote(now_s, now_s + lasts_s, note, index if played_for else None))
        now_s += lasts_s
        if index in again:
            again.remove(index)
            index = [bar for bar in bars if bar <= index][-2]
        else:
            index += 1
    return notes


Pairs = set[tuple[int, int]]


def truth(notes: Sequence[HeardNote]) -> Pairs:
    """Events with the ranks of the heard notes."""
    return {(note.event, rank) for rank, note in enumerate(notes) if note.event is not None}


def ours(asked: Asked, notes: Sequence[HeardNote]) -> tuple[Pairs, float]:
    """The matches by our alignment, and the seconds that it took, tables included."""
    segments = [Segment(rank, note.note, note.onset_s, 0.0, note.end_s) for rank, note in enumerate(notes)]
    began_s = time.perf_counter()
    aligner = Aligner(asked)
    steps = [step for segment in segments for step in aligner.push(segment)] + aligner.finish()
    took_s = time.perf_counter() - began_s
    return {(asked.tokens[step.tokens[0]].first, step.segment.rank) for step in steps if step.tokens}, took_s


def dual_dtw(asked: Asked, events: int, notes: Sequence[HeardNote], *, as_graces: bool) -> tuple[Pairs, float]:
    """Pairs found by parangonar's DualDTW, and the seconds that it took."""
    matcher = require_module("parangonar").DualDTWNoteMatcher()
    score, performance = _score_array(asked, events, as_graces), _performance_array(notes)
    began_s = time.perf_counter()
    alignment = matcher(score, performance)
    took_s = time.perf_counter() - began_s
    matched = (each for each in alignment if each["label"] == "match")
    return {(int(each["score_id"][1:]), int(each["performance_id"][1:])) for each in matched}, took_s


def _score_array(asked: Asked, events: int, as_graces: bool) -> NDArray[np.void]:
    fields = [("onset_beat", "f8"), ("duration_beat", "f8"), ("onset_div", "i4"), ("duration_div", "i4")]
    rows = []
    for rank, event in enumerate(asked.schedule.events[:events]):
        grace = as_graces and event.kind is EventKind.GRACENOTE
        beat = asked.schedule.note_onsets_s[event.played] if as_graces else event.start_s
        length = 0.0 if grace else event.end_s - event.start_s
        rows.append((beat, length, int(beat * 480), int(length * 480), event.note.midi, 1, f"n{rank}", grace))
    return np.array(rows, dtype=[*fields, ("pitch", "i4"), ("voice", "i4"), ("id", "U16"), ("is_grace", "?")])


def _performance_array(notes: Sequence[HeardNote]) -> NDArray[np.void]:
    fields = [("onset_sec", "f4"), ("duration_sec", "f4"), ("pitch", "i4"), ("velocity", "i4"), ("id", "U16")]
    rows = [
        (note.onset_s, note.end_s - note.onset_s, note.note.midi, 64, f"p{rank}") for rank, note in enumerate(notes)
    ]
    return np.array(rows, dtype=fields)


def f_measure(found: Pairs, wanted: Pairs) -> float:
    """F1 of one-to-one matches."""
    hits = len(found & wanted)
    return 2.0 * hits / (len(found) + len(wanted)) if hits else 0.0


def _best(work: Callable[[], tuple[Pairs, float]], rounds: int) -> tuple[Pairs, float]:
    results = [work() for _ in range(rounds)]
    return results[-1][0], min(took_s for _, took_s in results)


def compare(restarts: int) -> None:
    """Print both on the same notes."""
    asked = asked_of(EVENTS)
    notes = play(asked, EVENTS, 1, restarts=restarts)
    wanted = truth(notes)
    found, took_s = _best(lambda: ours(asked, notes), 5)
    f1 = f_measure(found, wanted)
    peers = []
    for as_graces in (True, False):
        theirs, their_s = dual_dtw(asked, EVENTS, notes, as_graces=as_graces)
        peers.append((f_measure(theirs, wanted), their_s))
    peer_f1, peer_s = max(peers)
    fastest_s = min(each_s for _, each_s in peers)
    print(f"{EVENTS} events, {len(notes)} notes heard, {restarts} times begun again")
    print(f"  ours     {took_s:8.3f} s (goal {TIME_GOAL_S} s)   F1 {f1:.4f}")
    print(f"  DualDTW  {peer_s:8.3f} s                  F1 {peer_f1:.4f}")
    print(
        f"  {peer_s / took_s:.0f} times as fast (goal {RATIO_GOAL:.0f}), F1 {f1 - peer_f1:+.4f} (goal {F1_GOAL});",
        end=" ",
    )
    print(f"{fastest_s / took_s:.0f} times its faster, less right way")


def whole_take() -> None:
    """Print how long it takes to hear a finished take of a learner who makes a fault at every fiftieth note."""
    tune = tune_of(EVENTS)
    events = simulate(tune, Learner(60.0, faults=0.02), 3).notes
    asked, taken_s = _asked(tune), []
    for _ in range(7):
        began_s = time.perf_counter()
        read = read_take(asked, events)
        read_s = time.perf_counter() - began_s
        tell_twice(read, Strictness.USUAL)
        taken_s.append((time.perf_counter() - began_s, read_s))
    took_s, read_s = min(taken_s)
    print(f"a finished take of {EVENTS} events: {took_s:.3f} s (goal {WHOLE_GOAL_S} s)", end=", ")
    print(f"read in {read_s:.3f} s and told twice in {took_s - read_s:.3f} s")


def growth() -> None:
    """Print the cost of a note as takes get longer, at the same rate of stumbling."""
    print("growth: seconds, and microseconds a note over those of the shortest take")
    first_us = None
    for size in SIZES:
        asked = asked_of(size)
        notes = play(asked, size, 2, restarts=size // 500)
        _, took_s = _best(lambda asked=asked, notes=notes: ours(asked, notes), 2)  # type: ignore[misc]
        note_us = 1e6 * took_s / len(notes)
        first_us = first_us or note_us
        print(f"  {size:6d} events  {took_s:7.3f} s  {note_us:6.1f} us a note  {note_us / first_us:5.2f}")


def main() -> None:
    """Run all."""
    compare(0)
    compare(6)
    whole_take()
    growth()


if __name__ == "__main__":
    main()
