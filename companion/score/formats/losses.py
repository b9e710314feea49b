"""Tells what of a tune a format has no place for."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from types import MappingProxyType

from companion.score.formats.kinds import TuneFormat
from companion.score.formats.musicxml_out.words import DECORATIONS
from companion.score.model import Tune

# What companion/score/engrave writes of decorations.
_IN_MEI = frozenset({"staccato", ".", "accent", ">", "emphasis", "tenuto", "fermata", "trill"})
_KEPT: Mapping[TuneFormat, Collection[str]] = MappingProxyType(
    {TuneFormat.MUSICXML: DECORATIONS, TuneFormat.PACKED_MUSICXML: DECORATIONS, TuneFormat.MEI: _IN_MEI}
)
_MOST_NAMED = 6


def lost_in(tunes: Sequence[Tune], written: TuneFormat) -> str:
    """What is lost of some tunes in a format, in words ("the decorations roll slide"); "" for nothing.

    A MIDI file holds what sounds and nothing else, which needs no telling.
    """
    if written not in _KEPT:
        return ""
    kept = _KEPT[written]
    names = sorted({each for tune in tunes for note in tune.notes for each in note.decorations if each not in kept})
    if not names:
        return ""
    more = f" and {len(names) - _MOST_NAMED} more" if len(names) > _MOST_NAMED else ""
    return f"the decoration{'s' if len(names) > 1 else ''} {' '.join(names[:_MOST_NAMED])}{more}"
