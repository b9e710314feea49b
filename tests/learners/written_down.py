"""Prints how right what is written down of simulated takes is.

python3 -m tests.learners.written_down [TAKES] [--from DRAW] [--jitter MS ...] [--given] [--only TUNES] [--misses]:
TAKES (48) of tunes that come with the program and as many of made-up ones (`tests.learners.melodies`), the metre not
given. Draws below TUNED_BELOW were used to choose costs; figures are told of others.
"""

from __future__ import annotations

import argparse
import time
from collections import Counter
from dataclasses import dataclass, field
from difflib import SequenceMatcher
from fractions import Fraction
from random import Random

from companion.notate.notating import Given, notate
from companion.score.model import Meter, Tune
from companion.score.performance import performance
from companion.score.phrases import is_lead_in
from fingering.notes import Note
from tests.learners.learner import Learner
from tests.learners.melodies import make_melody
from tests.learners.pieces import Music, pieces
from tests.learners.player import simulate

TUNED_BELOW = 1000
FASTEST, SLOWEST = 100.0, 45.0


@dataclass(slots=True)
class NoteAsHeard:
    """A note of a tune as it is heard: gracenotes that are not heard are left out, and so is what joins equal notes."""

    note: Note
    length: Fraction
    graces: tuple[Note, ...]
    in_bar: Fraction
    turn: int


@dataclass(slots=True)
class Figures:
    """What was right, counted; of bars those that hold the right notes, begin and end where they should."""

    right: Counter[str] = field(default_factory=Counter)
    of: Counter[str] = field(default_factory=Counter)

    def count(self, what: str, *, right: bool, times: int = 1) -> None:
        """Count one more."""
        self.of[what] += times
        self.right[what] += times * right

    def add(self, other: Figures) -> None:
        """Add those of another."""
        self.right += other.right
        self.of += other.of

    def row(self) -> str:
        """The shares as cells of a table."""
        return " | ".join(f"{self.right[what] / max(1, self.of[what]):.3f} of {self.of[what]}" for what in self.of)


def heard_notes(tune: Tune) -> list[NoteAsHeard]:
    """Return the notes of a tune as they are heard, in the order of playing."""
    found: list[NoteAsHeard] = []
    place = Fraction(0)
    turn = -1
    before: Note | None = None
    for each in performance(tune):
        note = each.note
        if each.turn != turn:
            full = each.bar.meter.bar_length or Fraction(0)
            place = full - each.bar.length if is_lead_in(each.bar) else Fraction(0)
            turn = each.turn
        if note.note is not None:
            graces = note.gracenotes
            while graces and graces[0] is before:
                graces = graces[1:]
            while graces and graces[-1] is note.note:
                graces = graces[:-1]
            if found and before is note.note and not graces:
                found[-1].length += note.duration
            else:
                found.append(NoteAsHeard(note.note, note.duration, graces, place, turn))
        before = note.note
        place += note.duration
    return found


def form_of(tune: Tune) -> tuple[tuple[int, int], ...]:
    """Return the full bars of each part, and how often they are played in all."""
    return tuple(
        (
            sum(not is_lead_in(bar) for bar in tune.bars[part.first : part.stop]),
            max(tune.order.count(bar) for bar in range(part.first, part.stop)),
        )
        for part in tune.parts
    )


def compared(asked: Tune, written: Tune) -> Figures:
    """Compare what was written down with what was played."""
    figures = Figures()
    want, have = heard_notes(asked), heard_notes(written)
    matcher = SequenceMatcher(None, [each.note for each in want], [each.note for each in have], autojunk=False)
    paired = {block.a + rank: block.b + rank for block in matcher.get_matching_blocks() for rank in range(block.size)}
    for rank, note in enumerate(want):
        other = have[paired[rank]] if rank in paired else None
        figures.count("lengths", right=other is not None and other.length == note.length)
        figures.count("places in the bar", right=other is not None and other.in_bar == note.in_bar)
        if note.graces:
            figures.count("embellishments", right=other is not None and other.graces == note.graces)
    right_bars = {note.turn: True for note in want}
    for rank, note in enumerate(want):
        other = have[paired[rank]] if rank in paired else None
        right_bars[note.turn] &= other is not None and (other.length, other.in_bar) == (note.length, note.in_bar)
    figures.count("bars", right=True, times=sum(right_bars.values()))
    figures.count("bars", right=False, times=len(right_bars) - sum(right_bars.values()))
    figures.count("no note put in", right=len(have) == len(paired))
    figures.count("metre", right=_alike(asked.meter, written.meter))
    figures.count("parts and repeats", right=form_of(asked) == form_of(written))
    return figures


def _alike(one: Meter, other: Meter) -> bool:
    """Whether notes have the same length in both, and bars too: C| is as right as 4/4."""
    return one.bar_length == other.bar_length and one.beat_length.numerator == other.beat_length.numerator


def learner(draw: int, jitter_s: float) -> Learner:
    """One who plays steadily, or strays by so much more."""
    random = Random(f"written down {draw}")
    return Learner(
        random.uniform(SLOWEST, FASTEST),
        spread=random.uniform(0.015, 0.04),
        drift=random.uniform(0.0, 0.15 if jitter_s else 0.08),
        jitter_s=jitter_s,
        before_beat=random.choice((None, None, True, False)),
    )


def tune_of_draw(draw: int, *, ours: bool) -> Tune:
    """The tune of that draw."""
    known = pieces(Music.TUNES)
    return known[draw % len(known)] if ours else make_melody(draw)


@dataclass(frozen=True, slots=True)
class Trial:
    """Takes of tunes of ours or made-up ones, by players whose onsets stray by so many ms more than steady ones'."""

    ours: bool
    jitter_ms: int
    draws: range
    given: bool

    @property
    def name(self) -> str:
        """What is played."""
        return "ours" if self.ours else "made up"


def measured(trial: Trial, *, misses: bool) -> Figures:
    """Measure one trial; misses: print each take that was not written down right."""
    total = Figures()
    for draw in trial.draws:
        tune = tune_of_draw(draw, ours=trial.ours)
        played = learner(draw, trial.jitter_ms / 1000.0)
        take = simulate(tune, played, draw)
        given = Given(tune.meter) if trial.given else Given()
        written = notate(take.notes, given, title=tune.title).tune
        figures = compared(tune, written)
        total.add(figures)
        if misses and any(figures.right[what] < figures.of[what] for what in figures.of):
            metres = f"{tune.meter.text} as {written.meter.text}"
            forms = f"{form_of(tune)} as {form_of(written)}"
            print(
                f"  {draw} {tune.title}, {metres}, {played.beats_per_minute:.0f}: {figures.row()}; {forms}", flush=True
            )
    return total


def main() -> None:
    """Measure, and print as it goes."""
    parser = argparse.ArgumentParser(prog="python3 -m tests.learners.written_down")
    parser.add_argument("takes", type=int, nargs="?", default=48)
    parser.add_argument("--from", dest="first", type=int, default=TUNED_BELOW)
    parser.add_argument("--jitter", type=int, nargs="*", default=(0, 15, 25, 35))
    parser.add_argument("--only", choices=("ours", "made up"))
    parser.add_argument("--given", action="store_true", help="the metre is given")
    parser.add_argument("--misses", action="store_true")
    asked = parser.parse_args()
    draws = range(asked.first, asked.first + asked.takes)
    trials = [Trial(ours, jitter, draws, asked.given) for ours in (True, False) for jitter in asked.jitter]
    for trial in trials:
        if asked.only in (None, trial.name):
            began = time.perf_counter()
            total = measured(trial, misses=asked.misses)
            took = (time.perf_counter() - began) / asked.takes
            if trial is trials[0]:
                print(f"| tunes | jitter, ms | {' | '.join(total.of)} | s a take |")
            print(f"| {trial.name} | {trial.jitter_ms} | {total.row()} | {took:.1f} |", flush=True)


if __name__ == "__main__":
    main()
