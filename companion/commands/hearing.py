"""Takes as the ear needs them: read from a file, by the right note map, in the file's own time."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from companion.listen.played import Played
from companion.midi.messages import NoteOn
from companion.midi.note_map import DEFAULT_MAP, NoteMap, Spelling
from companion.midi.takes import Take, build_take, inferred_map, read_take
from fingering.errors import UserError

DRUM_CHANNEL = 9
"""Channel 10 of General MIDI, counted from 0: percussion (from memory)."""

NEARLY_ALL = 0.95
MOST = 0.8
"""The share of a take's notes that must be notes of the chanter by the default map, and by one that is inferred."""


@dataclass(frozen=True, slots=True)
class HeardTake:
    """What was played, in seconds from the beginning of the file; `turns` is the stretch of the tune, None for all."""

    events: tuple[Played, ...]
    turns: range | None


def hear_take(path: str | Path, low_a: int | None) -> HeardTake:
    """Read a take, or any Standard MIDI File. low_a: the MIDI note of its low A; None as the take says, else 69.

    Raises UserError for a file that holds no playing of a chanter.
    """
    take = read_take(path)
    numbers = [timed.message for timed in take.messages if isinstance(timed.message, NoteOn)]
    if numbers and all(message.channel == DRUM_CHANNEL for message in numbers):
        raise UserError("this is a drum track, so it is not judged", "give a take of a chanter", str(path))
    known = NoteMap.of(low_a, Spelling.SHARPS) if low_a is not None else _map_of(take, numbers, path)
    heading = take.heading if known is None else replace(take.heading, known=known)
    shift_s = heading.tune_starts_s
    # The take's own clock begins with the tune; findings are told in the file's time.
    in_file_time = tuple(replace(timed, at_s=timed.at_s + shift_s) for timed in take.messages)
    heard = build_take(replace(heading, tune_starts_s=0.0), in_file_time, take.end_s + shift_s)
    turns = None if heading.turns is None else range(*heading.turns)
    return HeardTake(heard.events, turns)


def _map_of(take: Take, struck: list[NoteOn], path: str | Path) -> NoteMap | None:
    """The default map where it fits, else the likeliest; None where the take says itself how it was played."""
    if take.heading.known is not None or not struck:
        return None
    if _share(struck, DEFAULT_MAP) >= NEARLY_ALL:
        return DEFAULT_MAP
    likely = inferred_map(take.messages)
    if isinstance(likely, NoteMap) and _share(struck, likely) >= MOST:
        return likely
    what = f"only {_share(struck, DEFAULT_MAP):.0%} of the notes are notes of the chanter, so it is not judged"
    raise UserError(what, "give --low-a N, the MIDI note of the instrument's low A", str(path))


def _share(struck: list[NoteOn], note_map: NoteMap) -> float:
    return sum(message.number in note_map.numbers for message in struck) / len(struck)
