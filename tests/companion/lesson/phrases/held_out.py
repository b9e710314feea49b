"""Tunes of known plans that the finder was never set by: made of turns of melody, and not note by note.

They are otherwise than `made_tunes` in all that could matter: a bar is a row of figures (turns, broken chords, runs,
repeated notes) on a scheme of two chords, the answer is made from the question, the same figure moves up or down, and
what changes in a variant is a figure, a pointing, an ending or a gracenote. In-bar pick-ups lead into each phrase.
Written before the finder; nothing was set by them.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass

from tests.companion.lesson.phrases.planned import Named, PlannedTune

LETTERS = "GABcdefga"
# Steps from a chord's lowest note, a figure a beat: how pipe tunes fill a beat. Common practice, no source.
SIMPLE = [
    (0, 2, 4, 2),
    (0, 2, 0, 2),
    (4, 2, 0, 2),
    (0, 0, 2, 4),
    (2, 1, 0, 1),
    (4, 3, 2, 1),
    (0, 4, 2, 4),
    (0, 1, 2, 3),
]
POINTED = [(0, 2), (2, 0), (4, 2), (2, 4), (0, 4), (1, 0), (0, 1), (4, 3), (0,), (2,), (4,)]
COMPOUND = [(0, 2, 4), (0, 2, 0), (4, 2, 0), (2, 1, 0), (0, 1, 2), (0, 4), (2, 4), (4, 2), (0,), (4,)]
AIR = [(0,), (2,), (4,), (0, 1), (2, 1), (4, 3), (4, 5), (3, 2)]
CHORDS = {"A": 1, "G": 0, "D": 4, "B": 2}


@dataclass(frozen=True, slots=True)
class Kind:
    """A sort of tune: metre, beats in a bar, the figures of a beat, and how the notes of a figure share it."""

    rhythm: str
    meter: str
    beats: int
    figures: Sequence[tuple[int, ...]]
    lengths: dict[int, Sequence[str]]


KINDS = (
    Kind("Reel", "C|", 2, SIMPLE, {4: ("1111",)}),
    Kind("March", "2/4", 2, POINTED, {1: ("2",), 2: (".3 .1", "11")}),
    Kind("Strathspey", "C", 4, POINTED, {1: ("2",), 2: (".3 .1", ".1 .3", ".3 .1")}),
    Kind("Jig", "6/8", 2, COMPOUND, {1: ("3",), 2: ("21", "21"), 3: ("111",)}),
    Kind("Slip jig", "9/8", 3, COMPOUND, {1: ("3",), 2: ("21",), 3: ("111",)}),
    Kind("Slow air", "3/4", 3, AIR, {1: ("2",), 2: (".3 .1", "11")}),
    Kind("Hornpipe", "C|", 2, SIMPLE, {4: (".3 .1 .3 .1",)}),
)
GRACES = ("", "", "g", "d", "e", "g", "ag")
Note = tuple[int, str, str]
"""Rank of pitch, length in half quavers, gracenotes."""
Bar = list[Note]


def _lengths(pattern: str) -> list[str]:
    if "." in pattern:
        return [word[1:] for word in pattern.split()]
    return [str(2 * int(each)) for each in pattern]


class Maker:
    """Makes one tune from a seed."""

    def __init__(self, seed: int) -> None:
        self.draw = random.Random(seed)
        self.kind = self.draw.choice(KINDS)
        self.home = self.draw.choice("AAAD")

    def beat(self, chord: str, *, long: bool = False) -> Bar:
        """The notes of one beat."""
        figures = [each for each in self.kind.figures if not long or len(each) <= 2] or self.kind.figures
        figure = self.draw.choice(list(figures))
        lengths = _lengths(self.draw.choice(list(self.kind.lengths[len(figure)])))
        base = CHORDS[chord]
        return [
            (min(8, base + step), length, self.draw.choice(GRACES) if i == 0 else "")
            for i, (step, length) in enumerate(zip(figure, lengths, strict=True))
        ]

    def bar(self, *, home: bool = False) -> Bar:
        """One bar; at home it ends on the tune's tonic."""
        chords = [self.draw.choice("AAGDB") for _ in range(self.kind.beats)]
        beats = [self.beat(chord) for chord in chords]
        if home:
            beat = sum(int(length) for _, length, _ in beats[-1])
            beats[-1] = [(CHORDS[self.home], str(beat), "gAGAG" if self.home == "A" else "g")]
        return [note for each in beats for note in each]

    def phrase(self, bars: int, *, home: bool) -> list[Bar]:
        """A phrase of so many bars."""
        return [self.bar(home=home and i == bars - 1) for i in range(bars)]

    def variant(self, phrase: list[Bar]) -> list[Bar]:
        """A phrase near to another: some notes, its pointing, its gracenotes or its last half bar are otherwise."""
        bars = [list(bar) for bar in phrase]
        way = self.draw.choice(("notes", "notes", "graces", "ending", "pointing"))
        places = [(i, j) for i, bar in enumerate(bars) for j in range(len(bar))]
        if way == "pointing":
            turned = 0
            for bar in bars:
                for j in range(len(bar) - 1):
                    if {bar[j][1], bar[j + 1][1]} == {"1", "3"} and j % 2 == 0:
                        (p, a, g), (q, b, h) = bar[j], bar[j + 1]
                        bar[j], bar[j + 1] = (p, b, g), (q, a, h)
                        turned += 1
            if turned:
                return bars
            way = "notes"
        if way == "ending":
            half = max(1, len(bars[-1]) // 2)
            places = [(len(bars) - 1, j) for j in range(half, len(bars[-1]))]
        if way == "graces":
            for i, j in self.draw.sample(places, min(3, len(places))):
                pitch, length, graces = bars[i][j]
                bars[i][j] = pitch, length, "" if graces else "g"
            return bars
        count = len(places) if way == "ending" else self.draw.randint(1, 3)
        for i, j in self.draw.sample(places, min(count, len(places))):
            pitch, length, graces = bars[i][j]
            bars[i][j] = self.draw.choice([each for each in range(9) if each != pitch]), length, graces
        return bars

    def tune(self) -> PlannedTune:
        """A tune of one to three parts."""
        bars = self.draw.choice((2, 2, 2, 4))
        plans = self.draw.choice(
            (
                ["A B A C"],
                ["A B A C", "D E D C"],
                ["A A B B", "C C D D"],
                ["A B A' C", "D B D C"],
                ["A B C D", "E F G D"],
                ["A B A C", "D E A C"],
                ["A B A C", "D E D' C", "F G F C"],
                ["A B A' B'", "C D A B"],
            )
        )
        made: dict[str, list[Bar]] = {}
        for name in " ".join(plans).split():
            if name not in made:
                home = name in ("C", "D") and len(made) > 1
                made[name] = self.variant(made[name[0]]) if "'" in name else self.phrase(bars, home=home)
        return self.written(plans, made)

    def written(self, plans: Sequence[str], made: dict[str, list[Bar]]) -> PlannedTune:
        """The tune as ABC, with pick-ups, repeats and endings or without."""
        pick_up = self.draw.random() < 0.4
        repeated = self.draw.random() < 0.6
        endings = repeated and not pick_up and self.draw.random() < 0.4
        phrases: list[Named] = []
        lines: list[str] = []
        reached = 0
        for plan in plans:
            words: list[str] = []
            first = reached
            if pick_up:
                words.append(_abc([(self.draw.randrange(9), "1", "")]))
                reached += 1
            names = plan.split()
            for rank, name in enumerate(names):
                for i, bar in enumerate(made[name]):
                    last = rank == len(names) - 1 and i == len(made[name]) - 1
                    text = _abc(self.led(bar, last=last) if pick_up else bar)
                    words.append(f"[1 {text} :|2 {_abc(self.otherwise(bar))}" if last and endings else text)
                    reached += 1 + (last and endings)
                phrases.append((name, first, reached))
                first = reached
            opening, closing = ("|: ", " |]" if endings else " :|") if repeated else ("", " ||")
            lines.append(opening + " | ".join(words).replace("| [1", "|1") + closing)
        head = f"X:1\nT:Held out\nR:{self.kind.rhythm}\nM:{self.kind.meter}\nL:1/16\nK:HP\n"
        return PlannedTune(head + "\n".join(lines) + "\n", tuple(phrases))

    def led(self, bar: Bar, *, last: bool) -> Bar:
        """The bar with room for the pick-up: a short last note gives way to another one, a long one is cut."""
        *before, (pitch, length, graces) = bar
        kept = [(pitch, str(int(length) - 1), graces)] if int(length) > 1 else []
        return [*before, *kept, *([] if last else [(pitch, "1", "")])]

    def otherwise(self, bar: Bar) -> Bar:
        """A second ending for that bar: it comes to rest."""
        half = max(1, len(bar) // 2)
        rest = sum(int(length) for _, length, _ in bar[half:])
        return [*bar[:half], (CHORDS[self.home], str(rest), "g")]


def _abc(bar: Bar) -> str:
    return " ".join(f"{'{' + graces + '}' if graces else ''}{LETTERS[pitch]}{length}" for pitch, length, graces in bar)


def held_out(count: int, seed: int = 0) -> list[PlannedTune]:
    """So many tunes, always the same."""
    return [Maker(1000 * seed + i).tune() for i in range(count)]
