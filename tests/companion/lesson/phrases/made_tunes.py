"""Tunes made up note by note from a known plan, with which the finder was set and is tested.

The melody is a walk over the nine notes, mostly by step, in the rhythms that are usual in each metre (common practice,
no source). What is drawn is seeded: the same seed gives the same tunes.
"""

from __future__ import annotations

import random
from collections.abc import Sequence

from tests.companion.lesson.phrases.planned import Named, PlannedTune

LETTERS = "GABcdefga"
# Rhythms of a beat in each metre, in sixteenths of a whole note.
BEATS: dict[str, tuple[int, Sequence[tuple[int, ...]]]] = {
    "2/4": (2, ((3, 1), (1, 3), (2, 2), (4,), (2, 1, 1), (1, 1, 2))),
    "4/4": (4, ((4,), (3, 1), (2, 2), (1, 3), (3, 1))),
    "C": (4, ((3, 1), (1, 3), (4,), (3, 1), (2, 2))),
    "C|": (4, ((2, 2), (2, 2), (4,), (2, 2))),
    "6/8": (2, ((2, 2, 2), (3, 1, 2), (4, 2), (6,), (2, 4))),
    "9/8": (3, ((2, 2, 2), (3, 1, 2), (4, 2), (6,), (2, 2, 2))),
    "3/4": (3, ((4,), (3, 1), (2, 2), (6, 2), (4,))),
}
STEPS = (-3, -2, -2, -1, -1, -1, 0, 1, 1, 1, 2, 2, 3)
GRACES = ("", "", "g", "g", "d", "e", "gBd", "GdGe")
PLANS = ("AABB", "ABAC", "ABA'C", "ABCD")
Note = tuple[int, int, str]
"""Rank of pitch, length in sixteenths, gracenotes."""
Bar = list[Note]


class Drawn:
    """What a tune is made of, drawn from a seed."""

    def __init__(self, seed: int, meter: str | None = None) -> None:
        self.draw = random.Random(seed)
        self.meter = meter or self.draw.choice(sorted(BEATS))
        self.at = self.draw.randrange(9)

    def bar(self) -> Bar:
        """A bar of notes that go on from where the last one ended."""
        beats, rhythms = BEATS[self.meter]
        notes: Bar = []
        full = 4 * beats if self.meter not in ("6/8", "9/8") else 6 * beats
        reached = 0
        while reached < full:
            beat = [each for each in rhythms if reached + sum(each) <= full]
            for length in self.draw.choice(beat):
                self.at = min(8, max(0, self.at + self.draw.choice(STEPS)))
                notes.append((self.at, length, self.draw.choice(GRACES)))
                reached += length
        return notes

    def phrase(self, bars: int) -> list[Bar]:
        """A phrase; its last note is held for a beat where the metre allows."""
        return [self.bar() for _ in range(bars)]

    def variant(self, phrase: Sequence[Bar]) -> list[Bar]:
        """The phrase with one to three notes changed, or with the gracenotes of one to four."""
        bars = [list(bar) for bar in phrase]
        places = [(i, j) for i, bar in enumerate(bars) for j in range(len(bar))]
        graces = self.draw.random() < 0.3
        for i, j in self.draw.sample(places, min(len(places) // 2, self.draw.randint(1, 4 if graces else 3))):
            pitch, length, before = bars[i][j]
            if graces:
                bars[i][j] = pitch, length, self.draw.choice([each for each in GRACES if each != before])
            else:
                bars[i][j] = self.draw.choice([each for each in range(9) if each != pitch]), length, before
        return bars


def made_tune(seed: int, meter: str | None = None) -> PlannedTune:
    """A tune of one or two parts, of a plan, phrase length, pick-ups, repeats and endings that are drawn."""
    drawn = Drawn(seed, meter)
    draw = drawn.draw
    bars = draw.choice((2, 2, 2, 4))
    pick_up, repeated, endings = draw.random() < 0.4, draw.random() < 0.6, draw.random() < 0.3
    plans = [list(_names(draw.choice(PLANS)))]
    if draw.random() < 0.5:
        shift = 1 + max("ABCD".index(name[0]) for name in plans[0])
        plans.append([chr(ord(name[0]) + shift) + name[1:] for name in _names(draw.choice(PLANS))])
        if draw.random() < 0.5:
            plans[1][-1] = plans[0][-1]
        plans[1] = _relettered(plans[1], shift)
    made: dict[str, list[Bar]] = {}
    for name in (name for plan in plans for name in plan):
        if name not in made:
            made[name] = drawn.variant(made[name[0]]) if len(name) > 1 else drawn.phrase(bars)
    phrases: list[Named] = []
    lines: list[str] = []
    reached = 0
    for plan in plans:
        words, first = [], reached
        if pick_up:
            words.append(_abc([(draw.randrange(9), 2, "")]))
            reached += 1
        for rank, name in enumerate(plan):
            last_phrase = rank == len(plan) - 1
            for i, bar in enumerate(made[name]):
                last = last_phrase and i == bars - 1
                text = _abc(_shortened(bar) if last and pick_up else bar)
                if last and repeated and endings:
                    text = f"[1 {text} :|2 {_abc(_shortened(drawn.bar()) if pick_up else drawn.bar())}"
                    reached += 1
                words.append(text)
                reached += 1
            phrases.append((name, first, reached))
            first = reached
        close = (" |]" if endings else " :|") if repeated else " ||"
        lines.append(("|: " if repeated else "") + " | ".join(words).replace("| [1", "|1") + close)
    head = f"X:1\nT:Made up {seed}\nM:{drawn.meter}\nL:1/16\nK:HP\n"
    return PlannedTune(head + "\n".join(lines) + "\n", tuple(phrases))


def _names(plan: str) -> list[str]:
    return plan.replace("A'", "a").translate({ord(c): f"{c} " for c in "AaBCD"}).replace("a", "A'").split()


def _relettered(plan: Sequence[str], shift: int) -> list[str]:
    """The plan of a second part with its new letters in the order in which they come."""
    new: dict[str, str] = {}
    given = []
    for name in plan:
        letter = name[0]
        if ord(letter) - ord("A") >= shift and letter not in new:
            new[letter] = chr(ord("A") + shift + len(new))
        given.append(new.get(letter, letter) + name[1:])
    return given


def _shortened(bar: Bar) -> Bar:
    """A last bar that leaves room for the pick-up: its last note is cut, or left out."""
    *before, (pitch, length, graces) = bar
    return (
        [*before, (pitch, length - 2, graces)]
        if length > 2
        else before
        if length == 2
        else [
            *before[:-1],
            (before[-1][0], before[-1][1] - 1, before[-1][2]),
        ]
    )


def _abc(bar: Bar) -> str:
    return " ".join(f"{'{' + graces + '}' if graces else ''}{LETTERS[pitch]}{length}" for pitch, length, graces in bar)


def made_tunes(count: int, seed: int = 0) -> list[PlannedTune]:
    """So many tunes, always the same."""
    return [made_tune(10_000 * seed + i) for i in range(count)]
