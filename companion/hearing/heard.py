"""What is heard in a sound: notes with how sure each is, and what may be wrong with the sound. Data."""

from __future__ import annotations

import enum
from dataclasses import dataclass

from fingering.notes import Note


class SoundTrouble(enum.Enum):
    """What makes a sound hard to hear a chanter in; each is a sentence that says what to do."""

    NOISY = "the noise is nearly as loud as the chanter: come closer to the microphone, and away from other sound"
    CLIPPED = "the recording is clipped, too loud for the microphone: turn its level down, or step back"
    CROWDED = "something else sounds beside the chanter: record one chanter alone, and no music under it"
    FEW_NOTES = "too few different notes sound to tell which they are: play all nine once, low G to high A"
    LEFT_OUT = "between the playing something else sounds, such as talk: no notes are told there"
    ECHOING = "the room echoes long: come closer to the microphone, and further from the walls"


FINE_NOISE_DB = -15.5
"""In noise louder than this gracenotes are not vouched for, by trial: white noise at a ratio of some 9 dB, or talk,
which is as loud in fewer bins, of some 13 dB."""


@dataclass(frozen=True, slots=True)
class HeardNote:
    """One note, from `at_s` to `stop_s` in s from the first sample. confidence: 0 to 1, how sure it is that it was
    there and had this name. others: the notes that it could as well have been.
    """

    at_s: float
    stop_s: float
    note: Note
    confidence: float = 1.0
    others: frozenset[Note] = frozenset()

    @property
    def length_s(self) -> float:
        """How long it sounds."""
        return self.stop_s - self.at_s


@dataclass(frozen=True, slots=True)
class HeardSound:
    """What was heard of a chanter in a sound.

    low_a_hz: its sounding low A. notes_hz: all nine notes, low G first, those that were not played as likely. drones:
    whether drones sound with it. noise_db: how loud all that sounds beside it is, against it (below 0: softer). echo_s:
    in what time a room's echo falls by 60 dB, 0 for none. shortest_s: a note shorter than this is not told. maybe:
    short notes that may have sounded within others and could not be heard apart from them; they are not in `notes`.
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

    @property
    def fine(self) -> bool:
        """Whether gracenotes and noises of crossings are surely heard: not under drones, noise or a room's echo."""
        hard = any(each is not SoundTrouble.LEFT_OUT for each in self.troubles)
        return not (self.echo_s or self.drones or hard or self.noise_db > FINE_NOISE_DB)
