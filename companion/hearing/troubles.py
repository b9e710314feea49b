"""Finds what is no chanter, what sounds between its playing, and what makes one hard to hear: refusals and warnings,
each with what to do."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from companion.hearing.background import background
from companion.hearing.heard import HeardNote, SoundTrouble
from companion.hearing.intake.level import LevelMeter
from companion.hearing.intake.pairs import PairMeter
from companion.hearing.intake.placing import other_steps
from companion.hearing.intake.traits import SoundTraits, TraitMeter
from companion.hearing.learnt import ENOUGH_FRAMES, Learnt
from companion.hearing.scale_fit import SELDOM_LOW_A_HZ, USUAL_LOW_A_HZ, ScaleFit, trait_combs, trait_grid
from companion.hearing.spectra import Floats, FrameGrid, power_spectra
from companion.hearing.voice import LearntVoice, templates_of
from fingering.errors import UserError
from fingering.notes import Note

SILENT_PEAK = 1e-4
"""A greatest sample of -80 dB: nothing was recorded."""

LEAST_FIT, DOUBTFUL_FIT = 0.50, 0.54
MOST_UNLIKE, DOUBTFUL_UNLIKE = 0.25, 0.20
MOST_UNLIKE_IN_ROOM, DOUBTFUL_IN_ROOM = 0.12, 0.08
"""A sound that fits no scale better than this is no chanter's, nor one of which so much is unlike the notes told: on
trial chanters fit by 0.55 and more, with 0.2 unlike at most, in a room, beside its echo, with 0.04; noise fits by 0.25,
speech by 0.4 to 0.5, a piano and strings by 0.48 to 0.59 with 0.2 to 0.4 unlike."""

LEAST_ON_SCALE, LEAST_IF_CLEAR, LEAST_IF_ODD = 0.70, 0.87, 0.92
NOISY_FIT, CLEAR_FIT = 0.66, 0.75
MOST_OTHER_BORE = 0.30
MOST_FALLING_DB_S = 7.0
LEAST_PLAYING_S, SHORT_S = 0.15, 3.0
"""What a chanter's traits are at least and at most. On trial, of what a chanter played 0.75 was on its scale at least,
0.9 where the scale fitted well, 0.24 at most looked like another bore, and notes died away by 3.4 dB a second at most,
in a room. Of talk 0.1 to 0.8 was on a scale, of chords and songs with chords 0.1 to 0.6, of a tune on strings 0.7 to
0.84; of singing, bars that are struck and a harp 0.2 to 1 looked like another bore; a piano's notes died away by 11 dB
a second and more, a guitar's by 40. What wavers, or has its low A where none lies but one far out of tune, may be a
song: of four that were heard without this 0.90 was on a scale at most, of a chanter's vibrato 0.94 at least."""

MOST_GLIDES = 0.12
"""What slides oftener than this from note to note is sung: see `intake.traits`."""

MOST_STEADY = 0.5
"""What sounds all the time has less than a tenth of a chanter's power, that with drones apart."""

CLEARLY_ALONE = 0.93
"""Something is left out where this share of the rest is on the scale: of lessons 0.97 and more was, of music 0.9."""

CLEAR_SHARE, LEAST_PLAYING_SHARE = 0.97, 0.03
"""Where a chanter plays for more than the one, or for less than the other, nothing is left out."""

TWO_PLAY_SHARE = 0.27
"""Two notes last at once for this share of the time where two play: on trial a third of it and more in rounds of 0.7 to
2 s; for 0.06 at most of one player, in rooms of 0.8 s too, and of two in unison; drones that were not found 0.2."""

WAVERING_CENTS = 27.0
"""With a vibrato of 20 cents either way all is heard; with one of 35 or 50 up to one note in four, on trial, was none,
mostly a short one."""

NOISY_DB = -9.0
CROWDED_SHARE, CROWDED_SHARE_IN_ROOM = 0.20, 0.10
"""The share of what sounds that is unlike the notes told, from which something else sounds beside a chanter. In a room
an echo hides some of it: of a chanter alone 0.04 at most was unlike on trial."""

ECHOING_S = 1.2


def playing_ground(
    pieces: Sequence[Floats], rate_hz: float, background_of: Callable[[Floats, float], Floats] = background
) -> Floats:
    """Return what sounds all the time in pieces of a sound, by bin, as a `PlayingWatcher` sees it.

    background_of: tells that of powers of shape (frames, bins) and the time from frame to frame.
    """
    grid = trait_grid(rate_hz)
    return background_of(np.concatenate([power_spectra(each, grid) for each in pieces]), grid.hop_s)


class PlayingWatcher:
    """Watches a sound go by, and tells what is like a chanter in it and when it plays.

    ground: the power by bin of what sounds all the time, as `playing_ground` has it. voice: the chanter's, by which two
    notes at once are told; None where that is not asked for.
    """

    def __init__(self, scale: ScaleFit, ground: Floats, rate_hz: float, voice: LearntVoice | None = None) -> None:
        self._grid = trait_grid(rate_hz)
        self._meter = TraitMeter(trait_combs(scale, self._grid, ground))
        self._pairs = PairMeter(_notes_seen(voice, self._grid), ground, self._grid.hop_s) if voice else None
        self._held = np.zeros(0, np.float32)
        self._drones = scale.drones

    def take_in(self, samples: Floats) -> None:
        """The next thinned samples."""
        held = np.concatenate((self._held, samples))
        powers = power_spectra(held, self._grid)
        self._meter.take_in(powers)
        if self._pairs:
            self._pairs.take_in(powers)
        self._held = held[len(powers) * self._grid.hop :]

    def traits(self) -> SoundTraits:
        """What all of it is like."""
        return self._meter.traits()

    @property
    def two_play(self) -> bool:
        """Whether two players are heard, each at a note of its own. Under drones, which sound low A, that is not
        known."""
        return self._pairs is not None and not self._drones and self._pairs.share > TWO_PLAY_SHARE

    def playing(self) -> list[tuple[float, float]]:
        """When a chanter plays, from s to s. Under drones, which hide what it is like, all of the time."""
        if self._drones:
            return [(0.0, np.inf)]
        middle_s = self._grid.centre_s(-0.5)
        return [
            (begin_s + middle_s if begin_s else 0.0, stop_s + middle_s) for begin_s, stop_s in self._meter.playing()
        ]


def _notes_seen(voice: LearntVoice, grid: FrameGrid) -> Floats:
    """What each of the nine notes should look like through another window than that it was learnt through."""
    unseen = np.full((len(voice.pitches), len(grid.bins_hz)), np.nan)
    return templates_of(replace(voice, seen=unseen, seen_variance=unseen), grid).powers[: len(Note)]


def refuse_silence(meter: LevelMeter) -> None:
    """Raises UserError where nothing was recorded."""
    if meter.frames == 0:
        raise UserError("this recording is empty", "record again, and see that the program shows a length")
    if meter.swing < SILENT_PEAK:
        raise UserError("nothing is to be heard in this recording", "choose the right microphone, and turn it up")


def refuse_what_is_no_chanter(learnt: Learnt, traits: SoundTraits) -> Learnt:
    """What was learnt, if it is of a chanter. Raises UserError for any other sound."""
    if _is_no_chanter(learnt, traits):
        raise no_chanter(traits)
    return learnt


def no_chanter(traits: SoundTraits) -> UserError:
    """Make the error that tells of a sound that is of no chanter."""
    if traits.steady > MOST_STEADY:
        what = "one steady sound goes on through all of this recording, such as noise or a single note"
        return UserError(what, "record a chanter that plays several notes, close to the microphone")
    remedy = "record one chanter alone, close to the microphone"
    return UserError("no chanter is to be heard in this recording", remedy)


def is_unlike_a_chanter(learnt: Learnt) -> bool:
    """Whether what was learnt fits no scale, or is of something else for the most part."""
    fit, unlike = learnt.scale.fit, learnt.unlike_share
    in_room = learnt.echo is not None
    most, doubtful = (MOST_UNLIKE_IN_ROOM, DOUBTFUL_IN_ROOM) if in_room else (MOST_UNLIKE, DOUBTFUL_UNLIKE)
    return fit < LEAST_FIT or unlike > most or (fit < DOUBTFUL_FIT and unlike > doubtful)


def _is_no_chanter(learnt: Learnt, traits: SoundTraits) -> bool:
    if is_unlike_a_chanter(learnt):
        return True
    least_on_scale = float(np.interp(learnt.scale.fit, (NOISY_FIT, CLEAR_FIT), (LEAST_ON_SCALE, LEAST_IF_CLEAR)))
    low_hz, high_hz = SELDOM_LOW_A_HZ
    is_usual = low_hz <= learnt.scale.low_a_hz / learnt.scale.bore.value <= high_hz
    if traits.wavers_cents > WAVERING_CENTS or not is_usual:
        least_on_scale = LEAST_IF_ODD
    return (
        traits.loud_s < LEAST_PLAYING_S
        or traits.on_scale < least_on_scale
        or traits.other_bore > MOST_OTHER_BORE
        or traits.glides > MOST_GLIDES
        or (traits.falls_db_s > MOST_FALLING_DB_S and traits.loud_s > SHORT_S)
    )


def told_in_doubt(notes: Sequence[HeardNote], learnt: Learnt) -> tuple[HeardNote, ...]:
    """The notes, none of them sure where all of them could as well be a note higher or lower."""
    heard = {note: float(learnt.voice.hz[note]) for note in Note if learnt.heard[note] >= ENOUGH_FRAMES}
    low_hz, high_hz = USUAL_LOW_A_HZ
    octave = learnt.scale.bore.value
    steps = other_steps(heard, (low_hz * octave, high_hz * octave))
    if not steps:
        return tuple(notes)
    return tuple(
        replace(
            each,
            confidence=min(each.confidence, 1.0 / (1 + len(steps))),
            others=each.others | {Note(each.note + step) for step in steps if 0 <= each.note + step < len(Note)},
        )
        for each in notes
    )


def troubles_of(
    meter: LevelMeter, learnt: Learnt, watcher: PlayingWatcher, *, few_notes: bool, other_sound: bool
) -> tuple[SoundTrouble, ...]:
    """What makes this sound hard to hear. watcher: which has seen all of it. few_notes: whether they could be others.
    other_sound: whether something was left out."""
    found = []
    if watcher.two_play:
        found.append(SoundTrouble.TWO_PLAYERS)
    wavers = watcher.traits().wavers_cents > WAVERING_CENTS
    if wavers:
        found.append(SoundTrouble.WAVERING)
    if learnt.noise_db > NOISY_DB:
        found.append(SoundTrouble.NOISY)
    if meter.clipped:
        found.append(SoundTrouble.CLIPPED)
    crowded_share = CROWDED_SHARE if learnt.echo is None else CROWDED_SHARE_IN_ROOM
    if learnt.unlike_share > crowded_share and not wavers:
        found.append(SoundTrouble.CROWDED)
    if learnt.echo is not None and learnt.echo.rt60_s > ECHOING_S:
        found.append(SoundTrouble.ECHOING)
    if few_notes:
        found.append(SoundTrouble.FEW_NOTES)
    if other_sound:
        found.append(SoundTrouble.LEFT_OUT)
    return tuple(found)
