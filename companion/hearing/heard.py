"""What is heard in a sound: notes with how sure each is, what the sound said for others, what may be wrong with it."""

from __future__ import annotations

import enum
import zlib
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from companion.hearing.spectra import Floats
from fingering.notes import Note


class SoundTrouble(enum.Enum):
    """What makes a sound hard to hear a chanter in; each is a sentence that says what to do."""

    NOISY = "the noise is nearly as loud as the chanter: come closer to the microphone, and away from other sound"
    CLIPPED = "the recording is clipped, too loud for the microphone: turn its level down, or step back"
    CROWDED = "something else sounds beside the chanter: record one chanter alone, and no music under it"
    TWO_PLAYERS = "two players sound different notes at once: record one alone"
    WAVERING = "the pitch wavers widely, as in a vibrato, which hides short sounds: play with less of it"
    FEW_NOTES = "too few different notes sound to tell which they are: play all nine once, low G to high A"
    LEFT_OUT = "between the playing something else sounds, such as talk: no notes are told there"
    ECHOING = "the room echoes long: come within half a metre of the microphone, and further from the walls"


class Covering(enum.Enum):
    """What covers short sounds, in the words for people."""

    ECHO = "the room's echo"
    DRONES = "drones"
    NOISE = "noise or other sound"
    CLIPPING = "clipping"


FINE_NOISE_DB = -15.5
"""In noise louder than this gracenotes are not vouched for, by trial: white noise at a ratio of some 9 dB, or talk,
which is as loud in fewer bins, of some 13 dB."""

SOFT_NOISE_DB = -25.0
"""Noise louder than this may cover a veiled gracenote, which is softer than any note."""

LONGEST_ECHO_S, LOUDEST_NOISE_DB = 0.55, -9.0
MOST_MAYBE, MOST_MAYBE_UNDER_DRONES = 0.15, 0.025
"""Short sounds are not heard in what echoes longer or is noisier than this (a room of 0.4 s seems to echo for 0.24 to
0.41), nor, but in a room, where more than that share of the notes may have others within them. On trial that was 0.11
at most under talk; 0.021 at most under drones that gracenotes were heard under, 0.03 and more under reeds as loud as
the chanter. How noisy a sound with drones is says nothing: between harmonics hardly a bin is without them."""

MOST_MAYBE_IN_SHORT_ECHO, MOST_MAYBE_IN_ROOM, MOST_MAYBE_IN_LONG_ECHO = 0.5, 0.33, 0.12
SHORT_ECHO_S = 0.36
"""In a room short sounds are not heard where more than the second share of the notes may have others within them, nor,
where it seems to echo for longer than LONGEST_ECHO_S, more than the third. On trial a room of 0.4 s that seemed to echo
for 0.56 to 0.84 s had 0.01 to 0.11, one of 0.8 s 0.16 and more; what seemed to echo for less had 0.29 at most, on these
draws, in one of 0.4 s, 0.37 and more where it told four false findings in one of 0.8 s. Those that seem to echo for no
more than SHORT_ECHO_S are heard up to the first: of eight takes, of later draws, of 0.33 to 0.48 in rooms of 0.4 s 68
of 75 faults were told, with eight false findings beside, and of 24 in rooms of 0.8 s one seemed to echo for less than
0.42 s."""


MOST_MAYBE_FOR_TIME = 0.2
"""When notes began is not vouched for where short sounds are not heard and more than that share of the notes may have
others within them: on trial, where it echoed, faultless players were told to be off their time by most of a second."""

HARDLY_SURE = 0.6
"""The confidence below which a note is hardly sure."""


@dataclass(frozen=True, slots=True)
class HeardNote:
    """One note, from `at_s` to `stop_s` in s from the first sample. confidence: 0 to 1, how sure it is that it was
    there and had this name. others: the notes that it could as well have been. by_pitch: whether its pitch tells, from
    near its beginning to near its end, that it is none of those that lie near it.
    """

    at_s: float
    stop_s: float
    note: Note
    confidence: float = 1.0
    others: frozenset[Note] = frozenset()
    by_pitch: bool = False

    @property
    def length_s(self) -> float:
        """How long it sounds."""
        return self.stop_s - self.at_s


@dataclass(frozen=True, slots=True)
class SureName:
    """A note that was heard and is surely none of some others, however likely its spectrum makes them."""

    heard: HeardNote
    no_other: frozenset[Note]


SILENCE = len(Note)
NAMES = len(Note) + 1
"""The nine notes, low G first, and silence last."""

STEP_NATS = 0.25
MOST_NATS = 255 * STEP_NATS
"""A byte for each name and moment: finer than any limit that is set to it; what costs more was not there anyway."""

LEAST_CHANGE_NATS = -4.0
"""The least that a change of note costs beside what it costs anywhere."""

SURE_NAME_NATS = 7.0
"""The price, at each moment, of a name that a note's pitch rules out, beside its own: a choice, more than any limit
to doubt of names."""

MOST_BYTES = 80_000_000
"""More than the four hours of sound that are read at most can hold."""


@dataclass(frozen=True, slots=True)
class SoundEvidence:
    """How much less likely each name is than the likeliest one, for each moment, in nats.

    begins_s: the middle of the first moment, on the clock of the notes that were heard. hop_s: from one moment to the
    next. packed: a byte for each moment and name (STEP_NATS each), compressed. changes: likewise what a change of note
    costs at each moment beside what it costs anywhere; empty where that is not known.
    """

    begins_s: float
    hop_s: float
    packed: bytes
    changes: bytes = b""

    @classmethod
    def of(cls, rows: Sequence[bytes], begins_s: float, hop_s: float, changes: Sequence[bytes] = ()) -> SoundEvidence:
        """The evidence of moments that `moments_packed` made, in order, and `changes_packed`, if it did."""
        packed = zlib.compress(b"".join(rows), 1)
        return cls(begins_s, hop_s, packed, zlib.compress(b"".join(changes), 1) if changes else b"")

    def naming(self, surely: Sequence[SureName]) -> SoundEvidence:
        """The evidence where each of these notes is surely itself and none of the others that it is known not to be: at
        least SURE_NAME_NATS less likely for each moment."""
        if not surely:
            return self
        rows = self.unpacked().copy()
        for each in surely:
            note, others = each.heard, sorted(each.no_other)
            part = rows[self.moment(note.at_s) : self.moment(note.stop_s)]
            likeliest = part[:, [note.note, *others]].min(axis=1)
            least = np.minimum(likeliest.astype(np.int64) + round(SURE_NAME_NATS / STEP_NATS), 255)[:, np.newaxis]
            part[:, others] = np.maximum(part[:, others], least)
            part[:, note.note] = likeliest
        return replace(self, packed=zlib.compress(rows.tobytes(), 1))

    def moved(self, by_s: float) -> SoundEvidence:
        """The evidence on another clock."""
        return replace(self, begins_s=self.begins_s + by_s)

    def costs(self) -> Floats:
        """The cost of each moment as each name, shape (moments, NAMES): 0 for the likeliest. Raises ValueError as
        `unpacked` does."""
        return self.unpacked().astype(np.float32) * np.float32(STEP_NATS)

    def unpacked(self) -> NDArray[np.uint8]:
        """The bytes, shape (moments, NAMES). Raises ValueError for what is not packed evidence."""
        return _unpacked(self.packed).reshape(-1, NAMES)

    def change_costs(self) -> Floats:
        """The cost of a change of note at each moment beside that anywhere, in nats: shape (moments,); 0 where
        that is not known. Raises ValueError as `unpacked` does, and where there are not as many as moments."""
        moments = len(self.unpacked())
        if not self.changes:
            return np.zeros(moments, np.float32)
        found = _unpacked(self.changes)
        if len(found) != moments:
            raise ValueError(f"{len(found)} changes for {moments} moments")
        return found.astype(np.float32) * np.float32(STEP_NATS) + np.float32(LEAST_CHANGE_NATS)

    def moment(self, at_s: float) -> int:
        """The first moment that counts to what begins at a time."""
        return max(0, round((at_s - self.begins_s) / self.hop_s + 0.5))

    def edge_s(self, moment: int) -> float:
        """When what begins with a moment begins: between it and the one before."""
        return self.begins_s + (moment - 0.5) * self.hop_s


def _unpacked(packed: bytes) -> NDArray[np.uint8]:
    unpacking = zlib.decompressobj()
    try:
        found = unpacking.decompress(packed, MOST_BYTES)
    except zlib.error as error:
        raise ValueError(str(error)) from error
    if not unpacking.eof:
        raise ValueError(f"more than {MOST_BYTES} bytes, or not all of them")
    return np.frombuffer(found, np.uint8)


@dataclass(frozen=True, slots=True)
class HeardSound:
    """What was heard of a chanter in a sound.

    low_a_hz: its sounding low A. notes_hz: all nine notes, low G first, those that were not played as likely. drones:
    whether drones sound with it. noise_db: how loud all that sounds beside it is, against it (below 0: softer). echo_s:
    in what time a room's echo falls by 60 dB, 0 for none. shortest_s: a note shorter than this is not told. maybe:
    short notes that may have sounded within others and could not be heard apart from them; they are not in `notes`.
    evidence: by which other readings are weighed, where short sounds are not surely heard.
    """

    low_a_hz: float
    notes_hz: tuple[float, ...]
    drones: bool
    noise_db: float
    echo_s: float
    shortest_s: float
    duration_s: float
    notes: tuple[HeardNote, ...]
    maybe: tuple[HeardNote, ...] = ()
    troubles: tuple[SoundTrouble, ...] = ()
    evidence: SoundEvidence | None = None

    @property
    def fine(self) -> bool:
        """Whether gracenotes and noises of crossings are surely heard everywhere: no echo, drones or noise."""
        hard = any(each is not SoundTrouble.LEFT_OUT for each in self.troubles)
        return not (self.echo_s or self.drones or hard or self.noise_db > FINE_NOISE_DB)

    @property
    def covered(self) -> bool:
        """Whether something may cover some short sound: what is not fine, and noise that is softer besides."""
        return not self.fine or self.noise_db > SOFT_NOISE_DB

    @property
    def coverings(self) -> tuple[Covering, ...]:
        """What may cover short sounds, the first the most. Between the harmonics of drones hardly a bin is without
        them, so that how noisy a sound is says nothing there."""
        noisy = self.noise_db > (FINE_NOISE_DB if self.echo_s else SOFT_NOISE_DB) and not self.drones
        found = {
            Covering.ECHO: self.echo_s > 0.0,
            Covering.DRONES: self.drones,
            Covering.NOISE: noisy or SoundTrouble.NOISY in self.troubles,
            Covering.CLIPPING: SoundTrouble.CLIPPED in self.troubles,
        }
        return tuple(each for each, is_there in found.items() if is_there)

    @property
    def _maybe_share(self) -> float:
        return len(self.maybe) / max(1, len(self.notes))

    @property
    def overstates(self) -> bool:
        """Whether the evidence says more than it knows: where a room hides short sounds, what is left of them seems to
        be clear evidence against them; so does what is left where drones were; loud talk is no note, nor the noise that
        was learnt; and what was clipped has harmonics that no note has."""
        if self.echo_s or self.drones:
            return True
        return self.noise_db > FINE_NOISE_DB or SoundTrouble.CLIPPED in self.troubles

    @property
    def _most_maybe_in_room(self) -> float:
        if self.echo_s <= SHORT_ECHO_S:
            return MOST_MAYBE_IN_SHORT_ECHO
        return MOST_MAYBE_IN_ROOM if self.echo_s <= LONGEST_ECHO_S else MOST_MAYBE_IN_LONG_ECHO

    @property
    def in_time(self) -> bool:
        """Whether it is heard when notes began, of the long ones at least."""
        return self.short_sounds or self._maybe_share <= MOST_MAYBE_FOR_TIME

    @property
    def short_sounds(self) -> bool:
        """Whether short sounds are heard at all, if not everywhere: what covers them is less than the chanter."""
        maybe = self._maybe_share
        hard = set(self.troubles) - {SoundTrouble.LEFT_OUT, SoundTrouble.CLIPPED}
        if self.drones:
            return (
                maybe <= MOST_MAYBE_UNDER_DRONES and not (hard - {SoundTrouble.NOISY}) and self.echo_s <= LONGEST_ECHO_S
            )
        if self.echo_s:
            return not hard and maybe <= self._most_maybe_in_room
        return not hard and maybe <= MOST_MAYBE and self.noise_db <= LOUDEST_NOISE_DB
