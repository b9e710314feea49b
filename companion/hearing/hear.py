"""Hears a chanter in a sound of any length: what it sounds like is learnt first, then it is heard block by block."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from companion.hearing.heard import HeardNote, HeardSound, SoundEvidence
from companion.hearing.intake.level import LevelMeter
from companion.hearing.intake.mixing import ChannelMixer, numbers_of
from companion.hearing.learnt import Learnt
from companion.hearing.notes.near_names import named_by_pitch
from companion.hearing.notes.short_pitches import PitchMeter
from companion.hearing.path import HeardStretch
from companion.hearing.pieces.chanter import learnt_of
from companion.hearing.pieces.gathered import first_of, gathered, pieces_of, thinned
from companion.hearing.pieces.without_drones import learnt_pieces
from companion.hearing.spectra import Floats, Thinner, power_spectra
from companion.hearing.telling import maybe_told, notes_told
from companion.hearing.troubles import (
    LEAST_PLAYING_SHARE,
    PlayingWatcher,
    refuse_silence,
    told_in_doubt,
    troubles_of,
)
from companion.hearing.walks.way_through import WayThrough
from fingering.notes import Note

Samples = NDArray[np.float32]
"""Float32, -1 to 1, shape (n,) or (n, channels)."""

BLOCK_S = 10.0


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
    pieces = pieces_of(_mono(sound, mixer, meter), sound.rate_hz)
    if mixer.better is not None:
        mixer = ChannelMixer(mixer.better)
        pieces = pieces_of(_mono(sound, mixer), sound.rate_hz)
    refuse_silence(meter)
    rate_hz = Thinner(sound.rate_hz).rate_hz
    first = learnt_pieces(pieces, rate_hz)
    learnt, watcher = learnt_of(first, rate_hz, known)
    stretches: list[HeardStretch] = []
    total = max(1, meter.frames)
    way, pitches = WayThrough(learnt), PitchMeter(learnt)
    sound_left = first.whole(thinned(first_of(meter.frames, _mono(sound, mixer)), sound.rate_hz))
    for powers, heard_s in _powers(sound_left, learnt, watcher, pitches):
        stretches += pitches.measure(way.go_on(powers))
        progress(min(1.0, heard_s * sound.rate_hz / total))
    stretches += pitches.measure(way.finish())
    progress(1.0)
    told_notes, surely = named_by_pitch(notes_told(stretches, learnt), pitches.found, learnt)
    clear_notes = _while_playing(told_notes, watcher)
    notes = told_in_doubt(clear_notes, learnt)
    heard = HeardSound(
        low_a_hz=float(learnt.voice.hz[Note.LOW_A]),
        notes_hz=tuple(learnt.voice.hz[: len(Note)].tolist()),
        drones=learnt.scale.drones or first.remover is not None,
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
    return replace(heard, evidence=evidence.naming(surely))


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


def _powers(
    thinned: Iterable[Floats], learnt: Learnt, watcher: PlayingWatcher, pitches: PitchMeter
) -> Iterator[tuple[Floats, float]]:
    """The spectra of all frames, block by block, and how many seconds of the sound have been gone through."""
    grid = learnt.grid
    samples = np.zeros(0, np.float32)
    gone = 0
    for block in gathered(thinned, round(BLOCK_S * grid.rate_hz)):
        gone += len(block)
        watcher.take_in(block)
        pitches.take_in(block)
        samples = np.concatenate((samples, block))
        powers = power_spectra(samples, grid)
        samples = samples[len(powers) * grid.hop :]
        yield powers, gone / grid.rate_hz


def told(samples: Samples, rate_hz: int) -> list[tuple[float, float, Note]]:
    """The notes in samples as (onset_s, stop_s, note), for what compares hearings. Raises UserError as `hear` does."""
    return [(each.at_s, each.stop_s, each.note) for each in hear_samples(samples, rate_hz).notes]
