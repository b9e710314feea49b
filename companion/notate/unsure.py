"""Finds what is unsure in a tune that was written down from a take."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from companion.notate.doubts import Doubt, DoubtKind
from companion.notate.form.folding import FoldedTake
from companion.notate.form.metre import FoundMetre
from companion.notate.form.voting import Differing, Version
from companion.notate.paper import PLACE, Origin
from companion.notate.pulse.counted import CountedNote
from companion.notate.pulse.feet import TICKS, FootKind
from companion.score.model import MelodyNote, Tune
from fingering.embellishments import Family, recognise
from fingering.notes import Note

BETWEEN = 0.045
"""A note that is so many feet nearer to its place than to another is unsure: a seventh of what parts an even pair from
a dotted one."""

_PLACES = {FootKind.TWO: (3, 4, 6, 8, 9), FootKind.THREE: (2, 4, 6, 8, 10)}
CLOSE_METRE = 0.25
"""Metres whose costs are closer are both told."""


def doubts_of(
    tune: Tune, folded: FoldedTake, origins: Sequence[Origin | None], metres: Sequence[FoundMetre], kind: FootKind
) -> tuple[Doubt, ...]:
    """Return what is unsure, in the order of the tune. origins: what each of its notes was made of."""
    return _DoubtFinder(tune, folded, origins, metres, kind).all()


class _DoubtFinder:
    def __init__(
        self,
        tune: Tune,
        folded: FoldedTake,
        origins: Sequence[Origin | None],
        metres: Sequence[FoundMetre],
        kind: FootKind,
    ) -> None:
        self._tune, self._folded, self._metres, self._kind = tune, folded, metres, kind
        self._origins = origins
        self._notes = tune.notes
        self._bar_of = {note.rank: bar for bar in tune.bars for note in bar.notes}

    def all(self) -> tuple[Doubt, ...]:
        found = [*self._differing()]
        taken = {rank for doubt in found for rank in range(doubt.rank, doubt.rank + doubt.notes)}
        for rank, origin in enumerate(self._origins):
            if origin is None or rank in taken:
                continue
            found += self._heard(rank, origin.note) or self._embellishment(rank, origin.note)
            if rank - 1 not in taken:
                found += self._length(rank, origin.note)
        return (*self._metre(), *sorted(found, key=lambda doubt: doubt.rank))

    # --- the metre ---

    def _metre(self) -> Iterator[Doubt]:
        best = self._metres[0]
        others = [each for each in self._metres[1:] if each.take is best.take and each.cost - best.cost <= CLOSE_METRE]
        for words in dict.fromkeys(self._other_metre(best, other) for other in others):
            yield Doubt(DoubtKind.METRE, self._tune.bars[0].number, 0, 0, words)

    def _other_metre(self, best: FoundMetre, other: FoundMetre) -> str:
        if other.meter == best.meter:
            before = _a_value(other.length(other.pick_up)) if other.pick_up else "nothing"
            return f"bars may begin elsewhere, with {before} before the first"
        halved = " with notes half as long" if other.foot < best.foot else ""
        doubled = " with notes twice as long" if other.foot > best.foot else ""
        return f"the metre may be {other.meter.text}{halved}{doubled}"

    # --- repeats that differ ---

    def _differing(self) -> Iterator[Doubt]:
        for part in self._folded.parts:
            for stretch in (part.body, *part.endings):
                ranks = {
                    origin.note.start: rank
                    for rank, origin in enumerate(self._origins)
                    if origin is not None and origin.stretch is stretch
                }
                for each in stretch.differing:
                    yield from self._repeat(each, ranks)

    def _repeat(self, each: Differing, ranks: dict[int, int]) -> Iterator[Doubt]:
        here = [ranks[note.start] for note in each.taken if note.start in ranks]
        if not here:
            return
        bar = self._bar_of[here[0]]
        whole = all(self._bar_of[rank] is bar for rank in here)
        length = sum((self._notes[rank].duration for rank in here), Fraction(0))
        others = tuple(self._written(other) for other in each.others) if whole else ()
        fitting = tuple(other for other in others if sum((note.duration for note in other), Fraction(0)) == length)
        words = f"{self._where(here[0])}: it was not played alike each time"
        if fitting:
            words += f", but also {' or '.join(map(_letters, fitting))}"
        yield Doubt(DoubtKind.REPEAT, bar.number, here[0], len(here), words, fitting)

    def _written(self, version: Version) -> tuple[MelodyNote, ...]:
        metre = self._metres[0]
        return tuple(MelodyNote(0, note.note, metre.length(note.length), note.graces, PLACE) for note in version)

    # --- single notes ---

    def _heard(self, rank: int, note: CountedNote) -> list[Doubt]:
        """What a sound is not sure of: the gracenotes of a note, else the note itself."""
        written, bar = self._notes[rank], self._bar_of[rank].number
        groups = [each for each in note.heard_otherwise if each != note.graces]
        if groups:
            others_told = " or ".join(map(_group, groups))
            here = f"{{{_spelt(note.graces)}}} was not surely heard, it may be" if note.graces else "there may be"
            words = f"{self._where(rank)}: {here} {others_told}"
            others = tuple((written._replace(gracenotes=each),) for each in groups)
            return [Doubt(DoubtKind.HEARING, bar, rank, 1, words, others)]
        if note.others:
            notes = sorted(note.others)
            words = f"{self._where(rank)}: it sounded like {' or '.join(each.label for each in notes)} as well"
            return [
                Doubt(DoubtKind.HEARING, bar, rank, 1, words, tuple((written._replace(note=each),) for each in notes))
            ]
        return []

    def _embellishment(self, rank: int, note: CountedNote) -> Iterator[Doubt]:
        written = self._notes[rank]
        bar = self._bar_of[rank].number
        if note.played_graces is not None:
            name = self._name(rank, note.graces)
            words = f"{self._where(rank)}: {{{_spelt(note.played_graces)}}} was played in place of the {name}"
            other = (written._replace(gracenotes=note.played_graces),)
            yield Doubt(DoubtKind.EMBELLISHMENT, bar, rank, 1, words, (other,))
        elif note.graces and self._family(rank, note.graces) is Family.UNNAMED:
            words = f"{self._where(rank)}: {{{_spelt(note.graces)}}} is no embellishment that has a name"
            yield Doubt(DoubtKind.EMBELLISHMENT, bar, rank, 1, words, ((written._replace(gracenotes=()),),))
        elif note.noises:
            words = f"{self._where(rank)}: a short {note.noises[0].label} before it was taken for a crossing noise"
            other = (written._replace(gracenotes=(*note.noises, *note.graces)),)
            yield Doubt(DoubtKind.NOISE, bar, rank, 1, words, (other,))

    def _length(self, rank: int, note: CountedNote) -> Iterator[Doubt]:
        """A note within a foot that is hardly nearer to its place than to another one, between its neighbours."""
        place = note.start % TICKS
        bar = self._bar_of[rank]
        if not place or rank == 0 or self._origins[rank - 1] is None or self._bar_of[rank - 1] is not bar:
            return
        before = self._origins[rank - 1]
        assert before is not None
        if before.note.end != note.start or before.note.start // TICKS != note.start // TICKS or note.end % TICKS:
            return
        played = place / TICKS + note.off_s / note.foot_s
        near = [at for at in _PLACES[self._kind] if before.note.start % TICKS < at and at != place]
        closest = min(near, key=lambda at: abs(played - at / TICKS), default=None)
        if closest is None or (closest in (4, 8) and self._kind is FootKind.TWO):
            return
        if abs(played - closest / TICKS) - abs(played - place / TICKS) > BETWEEN:
            return
        moved = closest - place
        metre = self._metres[0]
        pair = (
            self._notes[rank - 1]._replace(duration=metre.length(before.note.length + moved)),
            self._notes[rank]._replace(duration=metre.length(note.length - moved)),
        )
        words = f"{self._where(rank - 1)}: it was played between what is written and {_letters(pair)}"
        yield Doubt(DoubtKind.LENGTH, bar.number, rank - 1, 2, words, (pair,))

    # --- words ---

    def _where(self, rank: int) -> str:
        bar = self._bar_of[rank]
        place = rank - bar.notes[0].rank + 1
        return f"bar {bar.number}, note {place}" if bar.number else f"the pick-up, note {place}"

    def _before(self, rank: int) -> Note | None:
        return self._notes[rank - 1].note if rank else None

    def _family(self, rank: int, graces: Sequence[Note]) -> Family:
        onto = self._notes[rank].note
        assert onto is not None
        return recognise(graces, onto=onto, before=self._before(rank)).family

    def _name(self, rank: int, graces: Sequence[Note]) -> str:
        onto = self._notes[rank].note
        assert onto is not None
        return recognise(graces, onto=onto, before=self._before(rank)).name


def _spelt(graces: Sequence[Note]) -> str:
    return "".join(grace.letter for grace in graces)


def _group(graces: Sequence[Note]) -> str:
    return f"{{{_spelt(graces)}}}" if graces else "none"


def _letters(notes: Sequence[MelodyNote]) -> str:
    """Notes as ABC letters, each with its value in words: units of length are the file's, and the window has none."""
    words = []
    for each in notes:
        graces = f"{{{_spelt(each.gracenotes)}}}" if each.gracenotes else ""
        words.append(f"{graces}{each.note.letter if each.note is not None else 'z'} {value_words(each.duration)}")
    return ", ".join(words)


_VALUES = ("semibreve", "minim", "crotchet", "quaver", "semiquaver", "demisemiquaver", "hemidemisemiquaver")


def value_words(length: Fraction) -> str:
    """A length in words: "dotted quaver"; what no note value has, in quavers."""
    for rank, name in enumerate(_VALUES):
        for dotted, dot in ((Fraction(1), ""), (Fraction(3, 2), "dotted ")):
            if length == dotted / 2**rank:
                return f"{dot}{name}"
    return f"{length * 8} of a quaver" if length < Fraction(1, 8) else f"{length * 8} quavers"


def _a_value(length: Fraction) -> str:
    words = value_words(length)
    return words if words[0].isdigit() else f"a {words}"
