"""Reads takes: one with what was played in it, or a list of a folder."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import islice
from pathlib import Path

from companion.files.kept_json import FIRST_YEAR, LAST_YEAR, Unfit
from companion.files.lines import one_line
from companion.files.reading import read_limited
from companion.listen.model.counted_in import after_count, after_held
from companion.listen.model.played import Played, Sounded
from companion.midi.maps.inference import MapInference
from companion.midi.maps.instrument import Instrument, instrument_for
from companion.midi.maps.map_text import Map
from companion.midi.stream.line import Timed
from companion.midi.stream.messages import NoteOn
from companion.midi.stream.monophony import Monophony, stuck_after_s
from companion.midi.takes.heading import Heading, heading_from_text
from companion.midi.takes.standard_file import LARGEST_BYTES, MidiContents, read_midi
from fingering.errors import UserError
from fingering.holes import NONE_CLOSED

SUFFIX = ".mid"
SOUND_SUFFIX = ".flac"
"""What was played on a microphone has its sound beside the take, in a file of the same name with this ending."""

VOICE_SUFFIX = ".voice"
"""Likewise what was known of the chanter when that sound was heard."""

ENOUGH_NOTES = 2000
"""Notes from which a map is inferred: many times what makes it sure, and heard within 0.1 s."""


@dataclass(frozen=True, slots=True)
class Take:
    """One recorded attempt. Times count from the beat of the tune's first melody note; in free play from the beginning.

    messages: what came in, raw. events: what was played. end_s: when it ended. path: its file, None if it has none.
    """

    heading: Heading
    messages: tuple[Timed, ...]
    events: tuple[Played, ...]
    end_s: float
    path: Path | None = None

    @property
    def performance(self) -> tuple[Played, ...]:
        """What was played of the tune, from its start if it was counted in, up to the silence that ends it: a note that
        still sounds then was played until then.
        """
        whole = (*self.events, Sounded(self.end_s, None))
        counted_s, begins_s = self.heading.counted_s, -self.heading.tune_starts_s
        if counted_s:
            return tuple(after_count(whole, counted_s + begins_s))
        return tuple(after_held(whole, begins_s)) if self.heading.held else whole

    @property
    def sound(self) -> Path | None:
        """The file of its sound; None where it has none, and where that is gone.

        A recording from elsewhere, which is no MIDI file, is its own sound.
        """
        return _sound_of(self.heading, self.path)

    @property
    def sound_begins_s(self) -> float:
        """When its sound begins, on the clock of its events."""
        return -self.heading.tune_starts_s - (self.heading.sound_starts_s or 0.0)


def _sound_of(heading: Heading, path: Path | None) -> Path | None:
    if path is None or heading.sound_starts_s is None:
        return None
    beside = sound_beside(path) if path.suffix == SUFFIX else path
    return beside if beside.is_file() else None


def sound_beside(path: Path) -> Path:
    """The file of the sound that a take has beside it, if it has one."""
    return path.with_suffix(SOUND_SUFFIX)


def voice_beside(path: Path) -> Path:
    """The file of the voice by which the sound of a take was heard, if it has one. path: of the take or its sound."""
    return path.with_suffix(VOICE_SUFFIX)


def build_take(heading: Heading, messages: Iterable[Timed], end_s: float, path: Path | None = None) -> Take:
    """The take of these messages, whose times count from its beginning."""
    shift_s = heading.tune_starts_s
    moved = tuple(Timed(timed.at_s - shift_s, timed.message) for timed in messages)
    instrument = instrument_for(
        heading.known or inferred_map(moved), stuck_after_s(heading.crotchet_s if heading.tune else None)
    )
    return Take(heading, moved, tuple(_played(moved, instrument, end_s - shift_s)), end_s - shift_s, path)


def holds_notes(take: Take) -> bool:
    """Whether anything was played in a take. A note that its map does not know is no note where it is the only one: of
    several the map may be wrong, and nothing that was played is to be lost."""
    if any(map(_makes_a_note, take.events)):
        return True
    return sum(isinstance(each.message, NoteOn) for each in take.messages) > 1


def _makes_a_note(played: Played) -> bool:
    """Every hole open is no note of the chart: nobody plays."""
    return played.note is not None if isinstance(played, Sounded) else played.state != NONE_CLOSED


def inferred_map(messages: Iterable[Timed]) -> Map:
    """The note map by which messages were most likely played, judged by the first ENOUGH_NOTES of them."""
    monophony, inference = Monophony(), MapInference()
    changes = (heard for timed in messages for heard in monophony.hear(timed.message, timed.at_s))
    for heard in islice(changes, ENOUGH_NOTES):
        inference.hear(heard)
    return inference.best.note_map


def _played(messages: Iterable[Timed], instrument: Instrument, end_s: float) -> Iterator[Played]:
    for timed in messages:
        yield from instrument.hear(timed)
    yield from instrument.pass_time(end_s)


@dataclass(frozen=True, slots=True)
class Recording:
    """What a take's file holds, before it is known what was played. Times count from its beginning. path: its file."""

    heading: Heading
    messages: tuple[Timed, ...]
    end_s: float
    path: Path


def read_recording(path: str | Path) -> Recording:
    """Read a take, or any Standard MIDI File as free play. Raises UserError for any other file."""
    path = Path(path)
    place = one_line(str(path))
    contents = read_midi(read_limited(path, LARGEST_BYTES, "give a take, or another Standard MIDI File"), place)
    try:
        heading = _heading(contents, path)
    except Unfit as error:
        what = f"the heading of this take is spoilt ({one_line(str(error))})"
        raise UserError(what, "move it elsewhere, and the other takes are listed without it", place) from None
    except UserError as error:  # a map that is none
        raise UserError(f"the heading of this take is spoilt ({error.what})", error.remedy, place) from None
    return Recording(heading, contents.messages, contents.end_s, path)


def read_take(path: str | Path) -> Take:
    """Read a take, and what was played in it by its own map or the likeliest one. Raises UserError."""
    recording = read_recording(path)
    return build_take(recording.heading, recording.messages, recording.end_s, recording.path)


@dataclass(frozen=True, slots=True)
class Summary:
    """A take as a list shows it: its heading, number of messages, when it ended (as `Take.end_s`) and file."""

    heading: Heading
    messages: int
    end_s: float
    path: Path

    @property
    def sound(self) -> Path | None:
        """The file of its sound, as of a `Take`."""
        return _sound_of(self.heading, self.path)


def read_summary(path: Path) -> Summary:
    """Read a take without what was played, several times sooner. Raises UserError."""
    recording = read_recording(path)
    heading = recording.heading
    return Summary(heading, len(recording.messages), recording.end_s - heading.tune_starts_s, path)


def _heading(contents: MidiContents, path: Path) -> Heading:
    """The heading of a take's file; of another MIDI file what can be told: when it was written, and its tempo."""
    text = next((text for text in contents.texts if text.startswith(b"{")), None)
    if text is not None:
        return heading_from_text(text, tempo_s=contents.crotchet_s)
    return Heading(began=_written(path), source=path.name, crotchet_s=contents.crotchet_s)


def _written(path: Path) -> datetime:
    """When a file was written; 1970 where that cannot be told or is no date."""
    try:
        written = datetime.fromtimestamp(path.stat().st_mtime, UTC)
    except (OSError, OverflowError, ValueError):
        return datetime.fromtimestamp(0, UTC)
    return written if FIRST_YEAR <= written.year <= LAST_YEAR else datetime.fromtimestamp(0, UTC)


@dataclass(frozen=True, slots=True)
class Listing:
    """The takes of a folder, oldest first, and an error for each file there that is none."""

    takes: tuple[Summary, ...]
    problems: tuple[UserError, ...]


def list_takes(folder: Path) -> Listing:
    """List the takes of a folder; a folder that does not exist holds none. Raises UserError if it cannot be read."""
    try:
        paths = sorted(Path(entry) for entry in os.scandir(folder) if entry.name.endswith(SUFFIX))
    except FileNotFoundError:
        return Listing((), ())
    except OSError as error:
        what = f"the folder of takes cannot be read ({error.strerror})"
        raise UserError(what, "see who owns it", one_line(str(folder))) from None
    takes: list[Summary] = []
    problems: list[UserError] = []
    for path in paths:
        try:
            takes.append(read_summary(path))
        except UserError as error:
            problems.append(error)
    return Listing(tuple(sorted(takes, key=lambda take: take.heading.began)), tuple(problems))
