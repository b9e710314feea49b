"""Hears a chanter in a sound of any length: what it sounds like is learnt first, then it is heard block by block."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from companion.hearing.background import between_lines
from companion.hearing.heard import HeardNote, HeardSound, SoundEvidence
from companion.hearing.intake.drones import DroneRemover, SoundingTone, bass_drone
from companion.hearing.intake.level import LevelMeter
from companion.hearing.intake.mixing import ChannelMixer, numbers_of
from companion.hearing.intake.traits import SoundTraits
from companion.hearing.known_voice import found_in, on_grid, same_chanter, together
from companion.hearing.learning import ENOUGH_TO_SEE, Learnt, learn, walk
from companion.hearing.path import NO_PITCH, HeardStretch
from companion.hearing.spectra import Floats, Thinner, power_spectra
from companion.hearing.telling import maybe_told, notes_told
from companion.hearing.troubles import (
    CLEAR_SHARE,
    CLEARLY_ALONE,
    LEAST_PLAYING_SHARE,
    PlayingWatcher,
    refuse_silence,
    refuse_what_is_no_chanter,
    told_in_doubt,
    troubles_of,
)
from companion.hearing.way_through import WayThrough
from fingering.errors import UserError
from fingering.notes import Note

Samples = NDArray[np.float32]
"""Float32, -1 to 1, shape (n,) or (n, channels)."""

PIECE_S = 10.0
MOST_PIECES = 6
"""A chanter is learnt from a minute of its sound at most, in pieces from all over it."""

BLOCK_S = 10.0


DRONE_ROUNDS = 2
SURE_NAMES = 5
"""Where so many different notes are heard for long enough, a sound teaches by itself which they are."""


@dataclass(frozen=True, slots=True)
class SoundBlocks:
    """A sound that can be gone through more than once. blocks: begins anew each time that it is called. frames: how
    many there are for each channel, 0 where it is not known."""

    rate_hz: int
    blocks: Callable[[], Iterable[Samples]]
    frames: int = 0


def hear(
    sound: SoundBlocks, progress: Callable[[float], None] = lambda share: None, known: Learnt | None = None
) -> HeardSound:
    """Hear a chanter. progress: is told the share of the sound that was heard, 0 to 1. known: what was learnt of it
    before, for a sound of few notes, which does not teach enough by itself; one of another chanter changes nothing.

    Raises UserError for a sound in which no chanter is heard.
    """
    meter, mixer = LevelMeter(), ChannelMixer()
    pieces = _pieces(_mono(sound, mixer, meter), sound.rate_hz)
    if mixer.better is not None:
        mixer = ChannelMixer(mixer.better)
        pieces = _pieces(_mono(sound, mixer), sound.rate_hz)
    refuse_silence(meter)
    rate_hz = Thinner(sound.rate_hz).rate_hz
    first = _first_learnt(pieces, rate_hz)
    remover = None
    if first is not None and first.scale.drones:
        pieces, first, remover = _drones_taken_out(pieces, first)
    learnt, watcher = _learnt(pieces, rate_hz, first, known)
    stretches: list[HeardStretch] = []
    total = max(1, meter.frames)
    way = WayThrough(learnt)
    thinned = _thinned(_first(meter.frames, _mono(sound, mixer)), sound.rate_hz)
    if remover is not None:
        thinned = _without_drones(thinned, remover())
    for powers, heard_s in _powers(thinned, learnt, watcher):
        stretches += way.go_on(powers)
        progress(min(1.0, heard_s * sound.rate_hz / total))
    stretches += way.finish()
    progress(1.0)
    told_notes = notes_told(stretches, learnt)
    clear_notes = _while_playing(told_notes, watcher)
    notes = told_in_doubt(clear_notes, learnt)
    heard = HeardSound(
        low_a_hz=float(learnt.voice.hz[Note.LOW_A]),
        notes_hz=tuple(learnt.voice.hz[: len(Note)].tolist()),
        drones=learnt.scale.drones or remover is not None,
        noise_db=learnt.noise_db,
        echo_s=learnt.echo.rt60_s if learnt.echo else 0.0,
        shortest_s=learnt.shortest_s,
        duration_s=meter.frames / sound.rate_hz,
        notes=notes,
        maybe=maybe_told(way.likely, notes, learnt),
        troubles=troubles_of(
            meter,
            learnt,
            watcher,
            few_notes=notes != clear_notes,
            other_sound=len(notes) < len(told_notes),
        ),
    )
    if not heard.covered:
        return heard
    evidence = SoundEvidence.of(way.moments, learnt.grid.centre_s(0), learnt.grid.hop_s, way.changes)
    return replace(heard, evidence=evidence)


def _first_learnt(pieces: list[Floats], rate_hz: float) -> Learnt | None:
    with np.errstate(all="ignore"):  # of one note that never stops next to nothing is left above the background
        return learn(pieces, rate_hz) if pieces else None


def _drones_taken_out(
    pieces: list[Floats], first: Learnt
) -> tuple[list[Floats], Learnt | None, Callable[[], DroneRemover] | None]:
    """The pieces of a sound without drones, what is learnt of them, and what takes drones out, made anew for each
    stretch; all as it was, and None, where there are no drones.

    first: what was learnt of the pieces with drones and all. What is learnt without them tells better where notes are.
    """
    rate_hz, low_a_hz = first.grid.rate_hz, float(first.voice.hz[Note.LOW_A])
    bass_hz = bass_drone(pieces, rate_hz, 0.25 * low_a_hz / first.scale.bore.value)
    if bass_hz is None:
        return pieces, first, None
    learnt: Learnt | None = first
    for _ in range(DRONE_ROUNDS):
        if learnt is not None:
            tones = partial(_tones, replace(learnt, ground=first.ground))
            remover = partial(DroneRemover, bass_hz, rate_hz, tones)
            cleaned = [np.concatenate(list(_without_drones((each,), remover()))) for each in pieces]
            learnt = _first_learnt(cleaned, rate_hz)
    return cleaned, learnt, remover


def _tones(learnt: Learnt, samples: Floats) -> list[SoundingTone]:
    """The notes that a voice most likely sounds in samples."""
    grid, voice = learnt.grid, learnt.voice
    return [
        SoundingTone(
            grid.centre_s(each.first - 0.5),
            grid.centre_s(each.stop - 0.5),
            float(voice.hz[each.pitch]),
            tuple(voice.harmonics[each.pitch].tolist()),
        )
        for each in walk(power_spectra(samples, grid), learnt)
        if each.pitch != NO_PITCH
    ]


def _without_drones(thinned: Iterable[Floats], remover: DroneRemover) -> Iterator[Floats]:
    for block in thinned:
        yield remover.take_in(block)
    yield remover.rest()


def _learnt(
    pieces: list[Floats], rate_hz: float, first: Learnt | None, known: Learnt | None
) -> tuple[Learnt, PlayingWatcher]:
    """What is learnt of the pieces of a sound, with what was known before, and what will watch it. first: what was
    learnt of them alone.

    Raises UserError for what is no chanter.
    """
    try:
        learnt = _learnt_alone(pieces, rate_hz, first)
    except UserError:
        found = _found(known, pieces, rate_hz)
        if found is None:
            raise
        return found
    if known is not None:
        if not is_sure(learnt):
            found = _found(known, pieces, rate_hz)
            if found:
                return found
        elif same_chanter(learnt, known):
            learnt = together(learnt, on_grid(known, learnt.grid))
    return learnt, PlayingWatcher(learnt.scale, pieces, rate_hz, voice=learnt.voice)


def _found(known: Learnt | None, pieces: list[Floats], rate_hz: float) -> tuple[Learnt, PlayingWatcher] | None:
    """A known voice as it sounds in the pieces of a sound, and what will watch that; None where it does not."""
    with np.errstate(all="ignore"):
        found = found_in(known, pieces, rate_hz) if known and pieces else None
    if found is None:
        return None
    traits = PlayingWatcher(found.scale, pieces, rate_hz, between_lines)
    traits.take_in(np.concatenate(pieces))
    try:
        refuse_what_is_no_chanter(found, traits.traits())
    except UserError:
        return None
    return found, PlayingWatcher(found.scale, pieces, rate_hz, between_lines, found.voice)


def _learnt_alone(pieces: list[Floats], rate_hz: float, learnt: Learnt | None) -> Learnt:
    """What was learnt of the pieces of a sound: of a chanter alone, where something else sounds between its playing.

    Raises UserError for what is no chanter.
    """
    if learnt is None:
        return refuse_what_is_no_chanter(None, SoundTraits(steady=1.0 if pieces else 0.0))
    watcher = PlayingWatcher(learnt.scale, pieces, rate_hz)
    whole = np.concatenate(pieces)
    watcher.take_in(whole)
    traits = watcher.traits()
    playing = watcher.playing()
    share = sum(stop_s - begin_s for begin_s, stop_s in playing) * rate_hz / len(whole)
    if LEAST_PLAYING_SHARE < share < CLEAR_SHARE:
        parts = [whole[round(begin_s * rate_hz) : round(stop_s * rate_hz)] for begin_s, stop_s in playing]
        with np.errstate(all="ignore"):
            alone = learn(parts, rate_hz)
        if alone is not None:
            watcher = PlayingWatcher(alone.scale, parts, rate_hz)
            watcher.take_in(np.concatenate(parts))
            if watcher.traits().on_scale >= CLEARLY_ALONE:
                learnt, traits = alone, watcher.traits()
    return refuse_what_is_no_chanter(learnt, traits)


def is_sure(learnt: Learnt) -> bool:
    """Whether so much of a chanter was heard in one sound that it teaches all about it by itself."""
    seen = sum(frames >= ENOUGH_TO_SEE for frames in learnt.heard)
    return seen >= SURE_NAMES and learnt.scale.is_sure


def _while_playing(notes: Sequence[HeardNote], watcher: PlayingWatcher) -> tuple[HeardNote, ...]:
    """The notes whose middle lies where a chanter plays; all, where that is hardly anywhere: then it is not known."""
    playing = watcher.playing()
    begins = [begin_s for begin_s, _ in playing]

    def heard(note: HeardNote) -> bool:
        middle_s = 0.5 * (note.at_s + note.stop_s)
        rank = bisect_right(begins, middle_s) - 1
        return rank >= 0 and middle_s < playing[rank][1]

    kept = tuple(filter(heard, notes))
    enough_s = LEAST_PLAYING_SHARE * sum(each.length_s for each in notes)
    return kept if sum(each.length_s for each in kept) > enough_s else tuple(notes)


def hear_samples(samples: Samples, rate_hz: int) -> HeardSound:
    """Hear a chanter in samples. Raises UserError as `hear` does."""
    return hear(SoundBlocks(rate_hz, lambda: (samples,), len(samples)))


def _mono(sound: SoundBlocks, mixer: ChannelMixer, meter: LevelMeter | None = None) -> Iterator[Samples]:
    for block in sound.blocks():
        clean = numbers_of(block.astype(np.float32, copy=False))
        if meter is not None:
            meter.measure(clean)
        yield mixer.mix(clean)


def _thinned(blocks: Iterable[Samples], rate_hz: int) -> Iterator[Floats]:
    thinner = Thinner(rate_hz)
    for block in blocks:
        yield thinner.thin(block)
    yield thinner.rest()


def _gathered(parts: Iterable[Floats], length: int) -> Iterator[Floats]:
    """Cut samples that come in blocks of any length into blocks of one length, of which the last is shorter."""
    held: list[Floats] = []
    count = 0
    for part in parts:
        held.append(part)
        count += len(part)
        if count >= length:
            whole = np.concatenate(held)
            for first in range(0, len(whole) - length + 1, length):
                yield whole[first : first + length]
            rest = whole[len(whole) // length * length :]
            held, count = [rest], len(rest)
    if count:
        yield np.concatenate(held)


def _pieces(mono: Iterable[Samples], rate_hz: int) -> list[Floats]:
    """Pieces from all over a sound, the louder ones: always every so manieth, the fewer the longer it is."""
    length = round(PIECE_S * Thinner(rate_hz).rate_hz)
    kept: list[tuple[int, Floats]] = []
    every = 1
    for rank, piece in enumerate(_gathered(_thinned(mono, rate_hz), length)):
        if rank % every == 0:
            kept.append((rank, piece.copy()))
        if len(kept) > 2 * MOST_PIECES:
            every *= 2
            kept = [each for each in kept if each[0] % every == 0]
    loudness = [float(np.sqrt(np.mean(np.square(piece)))) if len(piece) else 0.0 for _, piece in kept]
    loudest = sorted(range(len(kept)), key=lambda at: -loudness[at])[:MOST_PIECES]
    return [kept[at][1] for at in sorted(loudest) if loudness[at] > 0.1 * max(loudness)]


def _first(frames: int, blocks: Iterable[Samples]) -> Iterator[Samples]:
    """Yield the first samples of blocks, as many as asked for: a file may have grown since it was measured."""
    for block in blocks:
        if frames <= 0:
            return
        yield block[:frames]
        frames -= len(block)


def _powers(thinned: Iterable[Floats], learnt: Learnt, watcher: PlayingWatcher) -> Iterator[tuple[Floats, float]]:
    """The spectra of all frames, block by block, and how many seconds of the sound have been gone through."""
    grid = learnt.grid
    samples = np.zeros(0, np.float32)
    gone = 0
    for block in _gathered(thinned, round(BLOCK_S * grid.rate_hz)):
        gone += len(block)
        watcher.take_in(block)
        samples = np.concatenate((samples, block))
        powers = power_spectra(samples, grid)
        samples = samples[len(powers) * grid.hop :]
        yield powers, gone / grid.rate_hz


def told(samples: Samples, rate_hz: int) -> list[tuple[float, float, Note]]:
    """The notes in samples as (onset_s, stop_s, note), for what compares hearings. Raises UserError as `hear` does."""
    return [(each.at_s, each.stop_s, each.note) for each in hear_samples(samples, rate_hz).notes]
