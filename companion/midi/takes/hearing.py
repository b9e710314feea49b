"""A take as the ear needs it: read from a file, by the right note map, in the file's own time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from companion.files.lines import one_line
from companion.listen.model.played import Played
from companion.listen.model.terms import TakeTerms
from companion.midi.maps.hole_map import HoleMap
from companion.midi.maps.note_map import DEFAULT_MAP, NoteMap, Spelling
from companion.midi.stream.messages import NoteOn
from companion.midi.takes.heading import TuneIdentity
from companion.midi.takes.reading import Recording, build_take, inferred_map, read_recording
from companion.score.model import Tune
from fingering.errors import UserError

DRUM_CHANNEL = 9
"""Channel 10 of General MIDI, counted from 0: percussion (from memory)."""

NEARLY_ALL = 0.95
MOST = 0.8
"""The share of a take's notes that must be notes of the chanter by the default map, and by one that is inferred."""


@dataclass(frozen=True, slots=True)
class HeardTake:
    """What was played, in seconds from the beginning of the file, up to the silence that ends it; and on what terms."""

    events: tuple[Played, ...]
    terms: TakeTerms


def hear_take(path: str | Path, tune: Tune, low_a: int | None) -> HeardTake:
    """Read a take, or any Standard MIDI File, for a tune. low_a: the MIDI note of its low A; None as the take says,
    else 69; what sensors tell of the holes needs none.

    Raises UserError for a file that holds no playing of a chanter, or a take of another tune.
    """
    take = read_recording(path)
    if take.heading.tune is not None:
        _check_tune(take.heading.tune, tune, path)
    struck = [timed.message for timed in take.messages if isinstance(timed.message, NoteOn)]
    if struck and all(message.channel == DRUM_CHANNEL for message in struck):
        raise UserError("this is a drum track, so it is not judged", "give a take of a chanter", str(path))
    known = _map_of(take, struck, low_a, path) or take.heading.known
    # The take's own clock begins with the tune, the file's with the file.
    heading = replace(take.heading, known=known, tune_starts_s=0.0)
    heard = build_take(heading, take.messages, take.end_s)
    return HeardTake(heard.performance, take.heading.terms_for(tune))


def _check_tune(wanted: TuneIdentity, tune: Tune, path: str | Path) -> None:
    """Refuse a take of another tune; one that was changed since keeps its title, and is still the same to people."""
    own = TuneIdentity.of(tune)
    if wanted.content != own.content and wanted.title != own.title:
        what = f"this is a take of {one_line(wanted.title)}, not of {one_line(own.title)}, so it is not judged"
        raise UserError(what, f"give that tune's file ({one_line(wanted.file)})", str(path))


def _map_of(take: Recording, struck: Sequence[NoteOn], low_a: int | None, path: str | Path) -> NoteMap | None:
    """The map asked for; else the default one where it fits, else the likeliest; None where the take tells its own."""
    if isinstance(take.heading.known, HoleMap) or not struck:
        return None
    if low_a is not None:
        return _map_from(low_a, struck, path)
    if take.heading.known is not None:
        return None
    if _share(struck, DEFAULT_MAP) >= NEARLY_ALL:
        return DEFAULT_MAP
    likely = inferred_map(take.messages)
    if isinstance(likely, NoteMap) and _share(struck, likely) >= MOST:
        return likely
    what = f"only {_percent(struck, DEFAULT_MAP)} of the notes are notes of the chanter, so it is not judged"
    raise UserError(what, "give --low-a N, the MIDI note of the instrument's low A", str(path))


def _map_from(low_a: int, struck: Sequence[NoteOn], path: str | Path) -> NoteMap:
    """The map of that low A, in the spelling that fits better."""
    known = max((NoteMap.of(low_a, spelling) for spelling in Spelling), key=lambda each: _share(struck, each))
    if _share(struck, known) < MOST:
        what = f"with its low A at {low_a} only {_percent(struck, known)} of the notes are notes of the chanter"
        raise UserError(what, "give the MIDI note of the instrument's low A, or leave --low-a away", str(path))
    return known


def _share(struck: Sequence[NoteOn], note_map: NoteMap) -> float:
    return sum(message.number in note_map.numbers for message in struck) / len(struck)


def _percent(struck: Sequence[NoteOn], note_map: NoteMap) -> str:
    return f"{100.0 * _share(struck, note_map):.0f} %"
