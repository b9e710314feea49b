"""Takes: reading one, listing a folder of them, and what was played in it."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import mido

from companion.listen.played import Played
from companion.midi.heading import Heading, heading_from_text
from companion.midi.inference import MapInference
from companion.midi.instrument import instrument_for
from companion.midi.line import Line, Timed
from companion.midi.map_text import Map
from companion.midi.monophony import Monophony
from fingering.errors import UserError

SUFFIX = ".mid"
_DEFAULT_TEMPO_US = 500_000  # Standard MIDI Files 1.0: 120 a minute
_MICROSECONDS = 1_000_000
_MAGIC = b"MThd"  # Standard MIDI Files 1.0: what each begins with


@dataclass(frozen=True, slots=True)
class Take:
    """One recorded attempt. Times count from the tune's first melody note's beat, in free play from the beginning.

    messages: what came in, raw. events: what was played. end_s: when it ended. path: its file, None if it has none.
    """

    heading: Heading
    messages: tuple[Timed, ...]
    events: tuple[Played, ...]
    end_s: float
    path: Path | None = None


def build_take(heading: Heading, messages: Iterable[Timed], end_s: float, path: Path | None = None) -> Take:
    """The take of these messages; times count from its beginning."""
    shift_s = heading.tune_starts_s
    moved = tuple(Timed(timed.at_s - shift_s, timed.message) for timed in messages)
    known = heading.known or inferred_map(moved)
    return Take(heading, moved, tuple(_played(moved, known, end_s - shift_s)), end_s - shift_s, path)


def inferred_map(messages: Iterable[Timed]) -> Map:
    """The note map that messages were most likely played by."""
    monophony, inference = Monophony(), MapInference()
    for timed in messages:
        for heard in monophony.hear(timed.message, timed.at_s):
            inference.hear(heard)
    return inference.best.note_map


def _played(messages: Iterable[Timed], known: Map, end_s: float) -> Iterator[Played]:
    instrument = instrument_for(known)
    for timed in messages:
        yield from instrument.hear(timed)
    yield from instrument.pass_time(end_s)


def read_take(path: str | Path) -> Take:
    """Read a take, or any Standard MIDI File as free play. Raises UserError if it is neither."""
    path = Path(path)
    with _refusals(path):
        midi = mido.MidiFile(path)
        messages, end_s = _messages(midi)
        return build_take(_heading(midi, path), messages, end_s, path)


@dataclass(frozen=True, slots=True)
class Summary:
    """A take as a list shows it: its heading, how many messages it holds, when it ended (as `Take.end_s`), its file."""

    heading: Heading
    messages: int
    end_s: float
    path: Path


def read_summary(path: Path) -> Summary:
    """The same without what was played, several times sooner. Raises UserError."""
    with _refusals(path):
        midi = mido.MidiFile(path)
        heading = _heading(midi, path)
        count = sum(not told.is_meta for track in midi.tracks for told in track)
        return Summary(heading, count, midi.length - heading.tune_starts_s, path)


@contextlib.contextmanager
def _refusals(path: Path) -> Iterator[None]:
    """Whatever mido or the heading's reader raises for a spoilt file becomes a UserError."""
    try:
        yield
    except FileNotFoundError:
        raise UserError(f"there is no take '{path}'", "see 'eightholes take list'") from None
    except (OSError, EOFError, ValueError, TypeError, LookupError, ArithmeticError, UserError) as error:
        raise UserError(_whats_wrong(path, error), "give a take, or another Standard MIDI File", str(path)) from error


def _whats_wrong(path: Path, error: Exception) -> str:
    """Why a file cannot be read, in words for people: a library's own say little to them."""
    if path.is_dir():
        return "this is a folder, not a take"
    if isinstance(error, OSError) and error.strerror:
        return f"this file cannot be read ({error.strerror.lower()})"
    if isinstance(error, _Backwards):
        return "the times in this file go backwards"
    with path.open("rb") as file:
        if file.read(len(_MAGIC)) != _MAGIC:
            return "this is not a MIDI file"
    return "this MIDI file ends too soon" if isinstance(error, EOFError) else "this MIDI file is spoilt"


class _Backwards(ValueError):
    """Times go backwards, or count film frames, which mido takes for ticks below nothing."""


def _messages(midi: Any) -> tuple[list[Timed], float]:
    """The messages of a file and its end; times in seconds from its beginning."""
    line = Line()
    messages: list[Timed] = []
    at_s = 0.0
    for told in midi:
        if told.time < 0.0:
            raise _Backwards
        at_s += told.time
        if not told.is_meta:
            messages.extend(line.feed(told.bytes(), at_s))
    return messages, at_s


def _heading(midi: Any, path: Path) -> Heading:
    """The heading of our own file; of another's, what can be told: when it was written, and its tempo."""
    metas = [told for track in midi.tracks for told in track if told.is_meta]
    tempo_us = next((told.tempo for told in metas if told.type == "set_tempo"), _DEFAULT_TEMPO_US)
    tempo_s = tempo_us / _MICROSECONDS
    text = next((told.text for told in metas if told.type == "text" and told.text.startswith("{")), None)
    if text is not None:
        return heading_from_text(text, tempo_s=tempo_s)
    began = datetime.fromtimestamp(path.stat().st_mtime, UTC)
    return Heading(began=began, source=path.name, crotchet_s=tempo_s)


@dataclass(frozen=True, slots=True)
class Listing:
    """The takes of a folder, oldest first, and a line for each file there that is none."""

    takes: tuple[Summary, ...]
    problems: tuple[UserError, ...]


def list_takes(folder: Path) -> Listing:
    """List the takes of a folder; one that does not exist holds none. Raises UserError if it cannot be read."""
    try:
        paths = sorted(Path(entry) for entry in os.scandir(folder) if entry.name.endswith(SUFFIX))
    except FileNotFoundError:
        return Listing((), ())
    except OSError as error:
        what = f"the folder of takes cannot be read ({error.strerror})"
        raise UserError(what, "see who owns it", str(folder)) from None
    takes: list[Summary] = []
    problems: list[UserError] = []
    for path in paths:
        try:
            takes.append(read_summary(path))
        except UserError as error:
            problems.append(error)
    return Listing(tuple(sorted(takes, key=lambda take: take.heading.began)), tuple(problems))
