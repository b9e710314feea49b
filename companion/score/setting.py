"""Another setting of a tune: which written notes it has otherwise, and the tune as it is written so."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any, NamedTuple

from companion.score.model import Bar, MelodyNote, Tune
from fingering.notes import Note


class Change(NamedTuple):
    """What another setting has in the place of one written note.

    rank: the note's, in written order. asked: the note as it is written. note: what is played there, None where it is
    left out and the note before lasts on. gracenotes: those that lead onto it. added: notes played before it, in the
    time of the note before.
    """

    rank: int
    asked: Note
    note: Note | None
    gracenotes: tuple[Note, ...] = ()
    added: tuple[Note, ...] = ()


Setting = tuple[Change, ...]
"""The changes that make another setting of a tune, at most one for each written note; none for the tune as written."""


def with_further(setting: Setting, further: Setting) -> Setting:
    """The setting that further changes make of one that has some; their ranks are those of the tune in that setting."""
    changes = {each.rank: each for each in setting}
    for each in further:
        rank = written_rank(setting, each.rank)
        old = changes.get(rank)
        changes[rank] = each._replace(
            rank=rank, asked=old.asked if old else each.asked, added=(*(old.added if old else ()), *each.added)
        )
    return tuple(sorted(changes.values(), key=lambda change: change.rank))


def written_rank(setting: Setting, rank: int) -> int:
    """The written rank of a note of a tune in a setting; of one that was added, that of the note that it leads to."""
    added = 0
    for each in setting:
        if each.rank + added >= rank:
            break
        added += min(len(each.added), rank - each.rank - added)
    return rank - added


def in_setting(tune: Tune, setting: Setting) -> Tune:
    """A tune as it would be written in another setting; its notes are numbered anew. Changes of other notes than the
    tune has are left aside.
    """
    changes = {each.rank: each for each in setting}
    if not changes:
        return tune
    bars: list[Bar] = []
    before: Note | None = None
    rank = 0
    for bar in tune.bars:
        notes = _changed(bar.notes, changes, before)
        before = notes[-1].note if notes else before
        bars.append(bar._replace(notes=tuple(note._replace(rank=rank + place) for place, note in enumerate(notes))))
        rank += len(notes)
    return replace(tune, bars=tuple(bars))


def _changed(notes: Sequence[MelodyNote], changes: dict[int, Change], before: Note | None) -> list[MelodyNote]:
    """The notes of a bar with what is changed among them. before: the note that sounds before the bar."""
    found: list[MelodyNote] = []
    for note in notes:
        change = changes.get(note.rank)
        if change is None or note.note is not change.asked:
            found.append(note)
        else:
            lasts_on = found[-1].note if found else before
            found += _instead(note, change, found, lasts_on)
    return found


def _instead(note: MelodyNote, change: Change, found: list[MelodyNote], lasts_on: Note | None) -> list[MelodyNote]:
    """What is played in the place of a note. The note before it in the bar, the last that is `found`, gives its time to
    those that are added; at the beginning of a bar the note itself does.
    """
    if change.note is None:
        return [_bare(note, lasts_on)]
    shares = len(change.added) + 1
    giver = found[-1] if found else note
    duration = giver.duration / shares
    if found:
        found[-1] = giver._replace(duration=duration)
    added = [_bare(note, each)._replace(duration=duration) for each in change.added]
    own = note if change.gracenotes == note.gracenotes else _bare(note, note.note)
    own = own._replace(note=change.note, gracenotes=change.gracenotes)
    return [*added, own if found else own._replace(duration=duration)]


def _bare(note: MelodyNote, played: Note | None) -> MelodyNote:
    """Another note in the place and time of a written one, without gracenotes."""
    return note._replace(note=played, gracenotes=(), grace_lengths=(), grace_offsets=())


def setting_to_data(setting: Setting) -> list[dict[str, Any]]:
    """A setting as JSON: each changed note by its rank, notes as ABC letters, null for one that is left out."""
    return [
        {
            "note": each.rank,
            "asked": each.asked.letter,
            "played": None if each.note is None else each.note.letter,
            "gracenotes": "".join(note.letter for note in each.gracenotes),
            "added": "".join(note.letter for note in each.added),
        }
        for each in setting
    ]


def setting_words(tune: Tune, setting: Setting) -> str:
    """A setting in words: "B for C in bars 2 and 6, no E in bar 4"; of many changes the first few.

    tune: as it is written in that setting.
    """
    bar_of = {written_rank(setting, note.rank): bar.number for bar in tune.bars for note in bar.notes}
    bars: dict[str, list[int]] = {}
    for change in setting:
        bars.setdefault(_words(change), []).append(bar_of.get(change.rank, 0))
    told = [f"{words} in {_bars(numbers)}" for words, numbers in bars.items()]
    more = len(told) - MOST_TOLD
    return ", ".join(told if more <= 0 else [*told[:MOST_TOLD], f"and {more} more"])


MOST_TOLD = 4


def _words(change: Change) -> str:
    if change.note is None:
        return f"no {change.asked.label}"
    if change.added:
        return f"{' '.join(note.label for note in change.added)} added before {change.note.label}"
    if change.note is not change.asked:
        return f"{change.note.label} for {change.asked.label}"
    return f"{''.join(note.letter for note in change.gracenotes)} onto {change.note.label}"


def _bars(numbers: Sequence[int]) -> str:
    names = [str(number) for number in sorted(set(numbers))]
    if len(names) > 1:
        return f"bars {', '.join(names[:-1])} and {names[-1]}"
    return f"bar {names[0]}"
