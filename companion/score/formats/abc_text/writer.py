"""`abc_of` and `abc_book`: a tune, or several, as ABC text."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from companion.score.formats.abc_text.bar_lines import between, left_of, right_of
from companion.score.formats.abc_text.bars import BarText
from companion.score.formats.abc_text.header import field_line, fields_of, header_of, tempo_text
from companion.score.formats.abc_text.lengths import best_unit
from companion.score.formats.abc_text.letters import key_to_write, letters_in
from companion.score.formats.abc_text.strings import escaped
from companion.score.model import PLAIN_SIGNS, Bar, Tune
from companion.score.staff.pieces import Piece, cut_at_end
from companion.score.staff.spell import leads_in

VERSION_LINE = "%abc-2.1"
BARS_ON_A_LINE = 4
"""A line of text ends at the end of a phrase, once it has so many bars."""


def abc_book(tunes: Iterable[Tune]) -> str:
    """Several tunes as one ABC file, with an empty line between them."""
    return f"{VERSION_LINE}\n" + "\n".join(map(_tune_text, tunes))


def abc_of(tune: Tune) -> str:
    """A tune as an ABC file of its own. Read again, it is the same tune but for its places in the file."""
    return abc_book((tune,))


def _tune_text(tune: Tune) -> str:
    bars = tuple(_cut(tune.bars))
    unit = best_unit(piece.length for pieces in bars for piece in pieces)
    name, key = key_to_write(tune.key)
    _, after = fields_of(tune)
    text = BarText(unit, letters_in(key))
    lines = [*header_of(tune, unit, name), *_music(tune, bars, text), *map(field_line, after)]
    return "\n".join(lines) + "\n"


def _cut(bars: Sequence[Bar]) -> Iterator[tuple[Piece, ...]]:
    """Yield what each bar holds, notes that ties lengthened cut at bar lines."""
    held: tuple[Piece, ...] = ()
    for bar in bars:
        pieces, held = cut_at_end(bar, held)
        yield pieces


def _music(tune: Tune, bars: Sequence[Sequence[Piece]], text: BarText) -> Iterator[str]:
    """Yield the lines of the music, each with the bar line at its end, and the fields between them."""
    line = left_of(tune.bars[0].signs)
    line_begins = _line_starts(tune)
    before = tune.bars[0]._replace(meter=tune.meter, tempo=tune.tempo, signs=PLAIN_SIGNS)
    for i, bar in enumerate(tune.bars):
        changes = list(_changes(before, bar))
        if i:
            right, left = between(before.signs, bar.signs)
            apart = bool(changes) or i in line_begins
            line += f" {right_of(before.signs) if apart else right}"
            if apart:
                yield line.rstrip()
                line, left = "", left_of(bar.signs)
            line += left if not line or not left else f" {left}"
            line += "" if not line or line.endswith((" ", ":")) else " "
        yield from changes
        line += text.of(bar, bars[i], pick_up=leads_in(tune.bars, i))
        before = bar
    yield f"{line} {right_of(before.signs)}".rstrip()


def _changes(before: Bar, bar: Bar) -> Iterator[str]:
    """Yield the fields before a bar: the part that begins, another metre, another tempo."""
    if bar.signs.label is not None:
        yield f"P:{escaped(bar.signs.label)}"
    if bar.meter != before.meter:
        yield f"M:{bar.meter.text}"
    if bar.tempo is not None and bar.tempo != before.tempo:
        yield f"Q:{tempo_text(bar.tempo)}"


def _line_starts(tune: Tune) -> frozenset[int]:
    """The bars that begin a line of text: the first of each part, and of a phrase once a line is filled."""
    starts: set[int] = set()
    for part in tune.parts:
        starts.add(part.first)
        begun = part.first
        for phrase in part.phrases:
            if phrase.first - begun >= BARS_ON_A_LINE:
                starts.add(phrase.first)
                begun = phrase.first
    return frozenset(starts)
