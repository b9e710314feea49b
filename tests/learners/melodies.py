"""Made-up pipe tunes in every metre and style, with pick-ups, endings and phrases that answer one another, as ABC."""

from __future__ import annotations

import enum
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from random import Random

from companion.score.abc.tunebook import read_abc_text
from companion.score.model import Tune
from fingering.embellishments import Embellishment, Family, entries_onto
from fingering.notes import Note

Cells = dict[tuple[Fraction | int, ...], float]
_H = Fraction(1, 2)
_T = Fraction(3, 2)


@dataclass(frozen=True, slots=True)
class TuneStyle:
    """How the tunes of a kind go: metre, unit note length, beats of a bar, how long a beat is in units, its cells with
    their weights, pick-ups, in units, and cells that end a part. beat: what Q: counts."""

    name: str
    meter: str
    unit: str
    beats: int
    cells: Cells
    ends: Cells
    pick_ups: tuple[tuple[Fraction | int, ...], ...]
    beat: str

    @property
    def beat_units(self) -> Fraction:
        """How long a beat is, in units."""
        return Fraction(sum(next(iter(self.cells))))


class MelodyStyle(enum.Enum):
    """The kinds of tunes; the rhythms of each are common practice, no source."""

    MARCH = TuneStyle(
        "March", "4/4", "1/8", 4,
        {(2,): 3, (_T, _H): 5, (1, 1): 0.6, (_H, _T): 0.3}, {(2,): 1}, ((), (_T, _H), (1,), (2,)), "1/4",
    )  # fmt: skip
    SMALL_MARCH = TuneStyle(
        "March", "2/4", "1/16", 4,
        {(2,): 2, (_T, _H): 6, (1, 1): 0.5}, {(2,): 1}, ((), (2,), (1,), (_T, _H)), "1/4",
    )  # fmt: skip
    STRATHSPEY = TuneStyle(
        "Strathspey", "C", "1/8", 4,
        {(2,): 2, (_T, _H): 5, (_H, _T): 3, (Fraction(2, 3),) * 3: 0.5}, {(2,): 1}, ((), (1,)), "1/4",
    )  # fmt: skip
    REEL = TuneStyle("Reel", "C|", "1/8", 4, {(2,): 2, (1, 1): 6}, {(2,): 1}, ((), (1,)), "1/2")
    JIG = TuneStyle(
        "Jig", "6/8", "1/8", 2,
        {(1, 1, 1): 5, (2, 1): 4, (3,): 1, (_T, _H, 1): 1}, {(3,): 1, (2, 1): 1}, ((), (1,)), "3/8",
    )  # fmt: skip
    COMPOUND_MARCH = TuneStyle(
        "March", "6/8", "1/8", 2,
        {(2, 1): 4, (_T, _H, 1): 5, (3,): 1, (1, 1, 1): 1}, {(3,): 1}, ((), (1,)), "3/8",
    )  # fmt: skip
    SLIP_MARCH = TuneStyle(
        "March", "9/8", "1/8", 3,
        {(2, 1): 4, (_T, _H, 1): 3, (3,): 2, (1, 1, 1): 1}, {(3,): 1}, ((), (1,)), "3/8",
    )  # fmt: skip
    AIR = TuneStyle(
        "Slow air", "3/4", "1/8", 3, {(2,): 4, (1, 1): 3, (_T, _H): 2}, {(2,): 1}, ((), (2,), (1, 1)), "1/4"
    )


_FORMS = ("abac", "abab", "abcb", "aabc", "abcd")
_STRONG = {Family.DOUBLING: 5, Family.SINGLE: 3, Family.TAORLUATH: 1, Family.THROW: 2, Family.GRIP: 1, Family.STRIKE: 1,
           Family.HALF_DOUBLING: 2, Family.BIRL: 1, Family.THUMB_DOUBLING: 1}  # fmt: skip
_LONGEST = 5
_SINGLES = (Note.HIGH_G, Note.D, Note.E, Note.HIGH_A)
_CHORDS = (
    (Note.LOW_A, Note.C, Note.E, Note.HIGH_A),
    (Note.LOW_G, Note.B, Note.D, Note.HIGH_G),
    (Note.D, Note.F, Note.HIGH_A, Note.LOW_A),
)

Written = tuple[Note, tuple[Note, ...], Fraction]


def make_melody(draw: int, style: MelodyStyle | None = None) -> Tune:
    """Return one tune; the same draw gives the same tune. Styles take turns where none is asked for."""
    styles = list(MelodyStyle)
    return _Maker(Random(f"melody {draw}"), (style or styles[draw % len(styles)]).value, draw).tune()


class _Maker:
    def __init__(self, random: Random, style: TuneStyle, draw: int) -> None:
        self._random, self._style, self._draw = random, style, draw
        self._pick_up = random.choice(style.pick_ups)
        self._bar = style.beats * style.beat_units

    def tune(self) -> Tune:
        style = self._style
        parts = "\n".join(self._part(label) for label in "ABCD"[: self._random.choice((2, 2, 2, 3, 4))])
        titles = f"X:{self._draw}\nT:Melody {self._draw}\nR:{style.name}\n"
        head = f"{titles}M:{style.meter}\nL:{style.unit}\nQ:{style.beat}=70\nK:HP\n"
        book = read_abc_text(f"%abc-2.1\n{head}{parts}\n")
        assert not book.problems, book.problems
        return book.tunes[0]

    def _part(self, label: str) -> str:
        form = self._random.choice(_FORMS)
        phrases = {letter: [self._bar_of_notes(rank) for rank in range(2)] for letter in dict.fromkeys(form)}
        bars = [bar for letter in form for bar in phrases[letter]]
        last = self._last_bar()
        bars[-1] = last
        pick_up = self._notes_of(self._pick_up, strong=False)
        endings = [last]
        if self._random.random() < 0.2:
            other = self._last_bar()
            endings.append([(Note((other[0][0] + 1) % 9), (), other[0][2]), *other[1:]])
        return f"P:{label}\n{self._text(pick_up, bars[:-1], endings)}"

    def _text(self, pick_up: list[Written], bars: list[list[Written]], endings: list[list[Written]]) -> str:
        """The part with something to part equal notes everywhere, whatever is played before."""
        played: list[list[Written]] = [pick_up, *bars]
        graced = self._graced([note for bar in played for note in bar], before=endings[-1][-1][0])
        words = []
        at = 0
        for bar in played:
            words.append("".join(map(self._word, graced[at : at + len(bar)])))
            at += len(bar)
        opening, *rest = words if pick_up else ["", *words[1:]]
        last = graced[-1][0]
        tails = ["".join(map(self._word, self._graced(each, before=last))) for each in endings]
        tail = f"{tails[0]} :|" if len(tails) == 1 else f"[1 {tails[0]} :|[2 {tails[1]} ||"
        lead = f"{opening} | " if opening else ""
        return f"|: {lead}{' | '.join(rest)} | {tail}"

    def _word(self, note: Written) -> str:
        pitch, graces, length = note
        letters = "".join(each.letter for each in graces)
        size = "" if length == 1 else f"{length.numerator}/{length.denominator}"
        return f"{'{' + letters + '}' if letters else ''}{pitch.letter}{size}"

    def _graced(self, notes: Sequence[Written], before: Note) -> list[Written]:
        found: list[Written] = []
        for pitch, graces, length in notes:
            group = graces if graces and self._fits(graces, pitch, before) else ()
            if not group and before is pitch:
                group = self._parting(pitch)
            found.append((pitch, group, length))
            before = pitch
        return found

    def _fits(self, graces: tuple[Note, ...], onto: Note, before: Note) -> bool:
        return graces[0] is not before and any(
            each.embellishment.gracenotes == graces and each.suits(before) for each in entries_onto(onto)
        )

    def _parting(self, onto: Note) -> tuple[Note, ...]:
        return {Note.HIGH_G: (Note.HIGH_A,), Note.HIGH_A: (Note.HIGH_G,)}.get(onto, (Note.HIGH_G,))

    def _bar_of_notes(self, rank: int) -> list[Written]:
        cells = self._style.cells
        chosen = [self._cell(cells) for _ in range(self._style.beats)]
        if self._random.random() < 0.6:
            chosen[0] = max(chosen[0], next(iter(sorted(cells, key=len))), key=lambda cell: cell[0])
        chord = _CHORDS[(rank + self._random.randrange(2)) % len(_CHORDS)]
        return [
            note
            for beat, cell in enumerate(chosen)
            for note in self._notes_of(cell, strong=self._strong(beat), chord=chord)
        ]

    def _strong(self, beat: int) -> bool:
        """Whether embellishments of several gracenotes stand on a beat: on the first and the half, else at times."""
        return beat == 0 or 2 * beat == self._style.beats or self._random.random() < 0.3

    def _last_bar(self) -> list[Written]:
        short = self._bar - sum(self._pick_up, Fraction(0))
        style = self._style
        notes: list[Written] = []
        left = Fraction(short)
        while left > 2 * style.beat_units:
            notes += self._notes_of(self._cell(style.cells), strong=True)
            left -= style.beat_units
        if left > style.beat_units and self._random.random() < 0.4:
            notes += self._notes_of((left - style.beat_units,), strong=True)
            left = style.beat_units
        return [*notes, *self._notes_of((left,), strong=True, chord=(Note.LOW_A,))]

    def _cell(self, cells: Cells) -> tuple[Fraction | int, ...]:
        return self._random.choices(list(cells), list(cells.values()))[0]

    def _notes_of(
        self, cell: Sequence[Fraction | int], *, strong: bool, chord: Sequence[Note] = _CHORDS[0]
    ) -> list[Written]:
        found: list[Written] = []
        for rank, length in enumerate(cell):
            pitch = self._random.choice(chord) if rank == 0 else Note(self._random.randrange(9))
            if found and rank:
                pitch = Note(min(8, max(0, found[-1][0] + self._random.choice((-2, -1, -1, 1, 1, 2)))))
            found.append((pitch, self._graces(pitch, strong=strong and rank == 0, first=rank == 0), Fraction(length)))
        return found

    def _graces(self, onto: Note, *, strong: bool, first: bool) -> tuple[Note, ...]:
        if self._random.random() < (0.1 if strong else 0.25 if first else 0.6):
            return ()
        entries = [each for each in _usual_onto(onto) if strong or each.family is Family.SINGLE]
        if not entries:
            return ()
        weights = [_STRONG[each.family] / sum(other.family is each.family for other in entries) for each in entries]
        return self._random.choices(entries, weights)[0].gracenotes


@cache
def _usual_onto(onto: Note) -> tuple[Embellishment, ...]:
    """The embellishments onto a note that tunes are full of, but those that begin or end on that very note."""
    found = [entry.embellishment for entry in entries_onto(onto)]
    return tuple(
        each
        for each in found
        if each.family in _STRONG
        and onto not in (each.gracenotes[0], each.gracenotes[-1])
        and len(each.gracenotes) <= _LONGEST
        and (len(each.gracenotes) > 1 or each.gracenotes[0] in _SINGLES)
    )
