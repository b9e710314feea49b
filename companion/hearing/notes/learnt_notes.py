"""Learns anew what each note of a chanter sounds like, from where it was heard. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from companion.hearing.learnt import ENOUGH_FRAMES, ENOUGH_TO_SEE, Learnt
from companion.hearing.notes.as_played import as_played
from companion.hearing.notes.note_spectra import (
    ROOM_EDGE_S,
    ROOM_LEAST_S,
    inner_frames,
    likeness,
    measured_pitch,
    measured_spectrum,
    spectrum_as_seen,
)
from companion.hearing.path import HeardStretch
from companion.hearing.scale_fit import ScaleFit
from companion.hearing.spectra import Floats, FrameGrid
from companion.hearing.voice import RANKS, LearntVoice, templates_of, without_foreign_lines
from fingering.notes import Note

FIRST_OWN_DB, LEAST_OWN_DB, MOST_OWN_DB = 6.0, 2.0, 3.0
"""The stray of a bin from its template: at first, and at least and most as learnt."""

FALSE_EDGE_S, FALSE_LEAST_S, ENOUGH_FALSE = 0.010, 0.025, 40
"""How far from its ends a false fingering is learnt from, how long it must last, and in how many frames: they are
short."""

NEAR_CENTS = 60.0
"""How near to each other (cents) two pitches are that may be taken for each other, where only one of them is known."""

LEAST_LIKENESS = 0.85
VEIL_DAMPS, VEIL_SOFTENS = 0.3, 0.4
"""The share that a veil takes from each harmonic (as the power of e for each rank) and from the whole, as our
voices have it."""


def learnt_from(
    pieces: Sequence[Floats], powers: Sequence[Floats], ways: Sequence[Sequence[HeardStretch]], learnt: Learnt
) -> Learnt:
    """The chanter learnt anew, each note from where it was heard."""
    grid, voice = learnt.grid, learnt.voice
    ways = [as_played(each, voice) for each in ways]
    chosen = [_inner_frames(ways, note, learnt) for note in Note]
    hz, harmonics, breath = voice.hz.copy(), voice.harmonics.copy(), voice.breath.copy()
    counts: dict[int, int] = {}
    seen, strayed = voice.seen.copy(), voice.seen_variance.copy()
    heard = [sum(map(len, each)) for each in chosen]
    for note in Note:
        if heard[note] < ENOUGH_FRAMES:
            continue
        hz[note] = measured_pitch(pieces, chosen[note], grid, hz[note], harmonics[note], learnt.ground)
        own = np.concatenate([power[at] for power, at in zip(powers, chosen[note], strict=True)])
        harmonics[note], breath[note] = measured_spectrum(own, grid, hz[note], learnt.ground)
        if heard[note] >= ENOUGH_TO_SEE:
            seen[note], strayed[note] = _as_seen(own, hz[note], learnt)
    _guess_unheard(learnt.scale, heard, hz, harmonics, breath)
    for rank, each in enumerate(voice.pitches[len(Note) :], len(Note)):
        hz[rank] = hz[each.note] * 2.0 ** (each.off_cents / 1200.0)
        veiled = np.exp(-VEIL_DAMPS * each.veil * np.arange(RANKS)) * (1.0 - VEIL_SOFTENS * each.veil)
        harmonics[rank], breath[rank] = harmonics[each.note] * veiled, breath[each.note]
        own_frames = inner_frames(ways, rank, grid.hop_s, FALSE_EDGE_S, FALSE_LEAST_S)
        count = sum(map(len, own_frames))
        seen[rank] = np.nan
        if count >= ENOUGH_FALSE and not _is_near_unheard(hz, rank, each.note, heard):
            own = np.concatenate([power[at] for power, at in zip(powers, own_frames, strict=True)])
            seen[rank], strayed[rank] = _as_seen(own, hz[rank], learnt)
            counts[rank] = count
    voice = replace(voice, hz=hz, harmonics=harmonics, breath=breath, seen=seen, seen_variance=strayed)
    voice = _believed(voice, counts, grid)
    own_db = _own_db(powers, chosen, replace(learnt, voice=voice))
    return replace(learnt, voice=voice, own_db=own_db, heard=tuple(heard))


def _inner_frames(ways: Sequence[Sequence[HeardStretch]], note: Note, learnt: Learnt) -> list[NDArray[np.intp]]:
    """The frames to learn a note from: in a room those of its later part, if there are enough of them."""
    hop_s = learnt.grid.hop_s
    if learnt.echo is not None:
        later = inner_frames(ways, note, hop_s, least_s=ROOM_LEAST_S, begin_s=ROOM_EDGE_S)
        if sum(map(len, later)) >= ENOUGH_TO_SEE:
            return later
    return inner_frames(ways, note, hop_s)


def _as_seen(own: Floats, hz: float, learnt: Learnt) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The power of a pitch of so many Hz by bin, and how far it strays: in a room without other notes' lines."""
    powers, variance = spectrum_as_seen(own, learnt.ground)
    return (without_foreign_lines(powers, learnt.grid, hz) if learnt.echo else powers), variance


def _is_near_unheard(hz: NDArray[np.float64], rank: int, note: Note, heard: Sequence[int]) -> bool:
    """Whether a false fingering lies so near a note that was hardly heard that it may be that which was seen of it."""
    away = np.abs(1200.0 * np.log2(hz[: len(Note)] / hz[rank]))
    return any(away[each] < NEAR_CENTS and heard[each] < ENOUGH_TO_SEE for each in Note if each is not note)


def _believed(voice: LearntVoice, counts: Mapping[int, int], grid: FrameGrid) -> LearntVoice:
    """A voice without those false fingerings whose spectra, as seen, look less like themselves than like another pitch;
    the others half way, or nearer where they were seen for long, from what was expected of them."""
    unseen = templates_of(replace(voice, seen=np.full_like(voice.seen, np.nan)), grid)
    others = np.concatenate((templates_of(voice, grid).powers[: len(Note)], unseen.powers[len(Note) :]))
    seen, strayed = voice.seen.copy(), voice.seen_variance.copy()
    for rank, count in counts.items():
        own = unseen.powers[rank]
        like_own = likeness(seen[rank], own)
        note = voice.pitches[rank].note
        other = max(likeness(seen[rank], others[at]) for at, each in enumerate(voice.pitches) if each.note is not note)
        if like_own < max(LEAST_LIKENESS, other):
            seen[rank] = np.nan
            continue
        weight = count / (count + ENOUGH_FALSE)
        seen[rank] = np.exp(weight * np.log(seen[rank]) + (1.0 - weight) * np.log(own))
        strayed[rank] = weight * strayed[rank] + (1.0 - weight) * np.minimum(unseen.pitch_variance[rank], 30.0)
    return replace(voice, seen=seen, seen_variance=strayed)


def _guess_unheard(
    scale: ScaleFit,
    heard: Sequence[int],
    hz: NDArray[np.float64],
    harmonics: NDArray[np.float64],
    breath: NDArray[np.float64],
) -> None:
    """Notes that were not heard: as far off their tuning as the others, with the harmonics of their neighbours."""
    known = [note for note in Note if heard[note] >= ENOUGH_FRAMES]
    if not known:
        return
    nominal = np.array(scale.notes_hz)
    off = float(np.median(np.log2(hz[known] / nominal[known])))
    for note in Note:
        if note in known:
            continue
        hz[note] = nominal[note] * 2.0**off
        nearest = sorted(known, key=lambda each: abs(each - note))[:2]
        harmonics[note] = np.exp(np.log(harmonics[nearest]).mean(axis=0))
        breath[note] = np.exp(np.log(breath[nearest]).mean())


def _own_db(powers: Sequence[Floats], chosen: Sequence[Sequence[NDArray[np.intp]]], learnt: Learnt) -> float:
    """The stray of bins on a note's harmonics from its template."""
    templates = templates_of(learnt.voice, learnt.grid)
    strays = []
    for note in Note:
        strong = templates.powers[note] > 10.0 * learnt.ground
        for power, frames in zip(powers, chosen[note], strict=True):
            if len(frames) and strong.any():
                seen = power[frames[::4]][:, strong]
                away = np.log(np.maximum(seen, 1e-12)) - np.log(templates.powers[note][strong] + learnt.ground[strong])
                strays.append((4.34 * (away - np.median(away, axis=1, keepdims=True))).ravel())
    if not strays:
        return FIRST_OWN_DB
    spread = 1.48 * float(np.median(np.abs(np.concatenate(strays))))
    return min(MOST_OWN_DB, max(LEAST_OWN_DB, spread))
