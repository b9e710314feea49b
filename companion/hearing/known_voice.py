"""One chanter's voice at another level, tuning or sample rate, what was learnt of it twice put together, and a known
voice found in another sound. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from companion.hearing.background import LEAST_SHARE, background, beside_notes
from companion.hearing.echoes.beginnings import Beginnings
from companion.hearing.learning import ROUNDS, with_noise
from companion.hearing.learnt import ENOUGH_FRAMES, Learnt
from companion.hearing.notes.learnt_notes import learnt_from
from companion.hearing.spectra import Floats, FrameGrid, power_spectra
from companion.hearing.voice import templates_of
from companion.hearing.walks.walk import walk
from fingering.notes import Note

SAME_LOW_A_CENTS = 60.0
"""Two voices whose low A differ by more are not of one chanter in one tuning."""

LIKE = 0.92
ENOUGH_LIKE = 16
"""A level is found once 40 ms sounded like some note: by the cosine of amplitudes in its strong bins."""

STRONG = 1e-3
LEAST_POWER = 1e-9


def louder(learnt: Learnt, by_db: float) -> Learnt:
    """A voice and its background, louder by so many dB."""
    factor = 10.0 ** (0.1 * by_db)
    voice = learnt.voice
    voice = replace(voice, harmonics=voice.harmonics * factor, breath=voice.breath * factor, seen=voice.seen * factor)
    return replace(learnt, voice=voice, ground=learnt.ground * np.float32(factor))


def tuned(learnt: Learnt, by_cents: float) -> Learnt:
    """A voice whose notes all sound higher by so many cents, as one grown warm does."""
    voice, factor = learnt.voice, 2.0 ** (by_cents / 1200.0)
    moved = replace(voice, hz=voice.hz * factor, seen=np.full_like(voice.seen, np.nan))
    before = templates_of(replace(voice, seen=moved.seen), learnt.grid).powers
    after = templates_of(moved, learnt.grid).powers
    scale = replace(
        learnt.scale,
        low_a_hz=learnt.scale.low_a_hz * factor,
        notes_hz=tuple(each * factor for each in learnt.scale.notes_hz),
    )
    # What was seen lies by as much off what harmonics alone should leave in each bin as it did.
    return replace(learnt, scale=scale, voice=replace(moved, seen=voice.seen * (after / before)))


def on_grid(learnt: Learnt, grid: FrameGrid) -> Learnt:
    """A voice learnt at another sample rate, by the bins of this one."""
    old_hz, new_hz = learnt.grid.bins_hz, grid.bins_hz
    if len(old_hz) == len(new_hz) and float(np.abs(old_hz - new_hz).max()) < 1.0:
        return replace(learnt, grid=grid)
    within = new_hz <= old_hz[-1] + 1.0

    def moved(rows: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.array([np.interp(new_hz, old_hz, row) for row in rows])

    voice = learnt.voice
    # Of bins that there were none of before nothing was seen; then harmonics alone say what to expect.
    unknown = np.isnan(voice.seen).sum(axis=1) + int((~within).sum()) > 0
    seen = np.where(unknown[:, np.newaxis], np.nan, np.exp(moved(np.log(np.maximum(voice.seen, 1e-30)))))
    variance = moved(np.nan_to_num(voice.seen_variance))
    ground = np.exp(np.interp(new_hz, old_hz, np.log(learnt.ground))).astype(np.float32)
    voice = replace(voice, seen=seen, seen_variance=variance)
    begun = learnt.beginnings
    if begun is not None:
        begun = Beginnings(moved(begun.over_db), moved(begun.variance))
    return replace(learnt, grid=grid, voice=voice, ground=ground, beginnings=begun)


def same_chanter(one: Learnt, other: Learnt) -> bool:
    """Whether two voices may be of one chanter."""
    cents = 1200.0 * abs(np.log2(one.voice.hz[Note.LOW_A] / other.voice.hz[Note.LOW_A]))
    return one.voice.pitches == other.voice.pitches and one.scale.bore is other.scale.bore and cents < SAME_LOW_A_CENTS


def together(new: Learnt, known: Learnt) -> Learnt:
    """What was learnt anew, with those pitches as they were known that were not heard this time. Both on one grid."""
    both = [note for note in Note if min(new.heard[note], known.heard[note]) >= ENOUGH_FRAMES]
    if both:
        cents = 1200.0 * float(np.median(np.log2(new.voice.hz[both] / known.voice.hz[both])))
        levels = new.voice.harmonics[both].sum(axis=1) / known.voice.harmonics[both].sum(axis=1)
        known = louder(tuned(known, cents), 10.0 * float(np.log10(np.median(levels))))
    unseen = [np.isnan(each.voice.seen).sum(axis=1) > 0 for each in (new, known)]
    kept = unseen[0] & ~unseen[1]
    heard = [max(pair) if kept[note] else pair[0] for note, pair in enumerate(zip(new.heard, known.heard, strict=True))]

    def chosen(mine: NDArray[np.float64], its: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.where(kept.reshape(-1, *[1] * (mine.ndim - 1)), its, mine)

    one, other = new.voice, known.voice
    voice = replace(
        one,
        hz=chosen(one.hz, other.hz),
        harmonics=chosen(one.harmonics, other.harmonics),
        breath=chosen(one.breath, other.breath),
        seen=chosen(one.seen, other.seen),
        seen_variance=chosen(one.seen_variance, other.seen_variance),
    )
    begun = new.beginnings
    if begun is not None and known.beginnings is not None:
        begun = Beginnings(
            chosen(begun.over_db, known.beginnings.over_db), chosen(begun.variance, known.beginnings.variance)
        )
    return replace(new, voice=voice, heard=tuple(heard), beginnings=begun)


class LevelFinder:
    """Finds by how many dB a known voice sounds louder through this microphone than when it was learnt."""

    def __init__(self, learnt: Learnt) -> None:
        powers = templates_of(learnt.voice, learnt.grid).powers[: len(Note)]
        self._strong = (powers > STRONG * powers.max(axis=1, keepdims=True)).any(axis=0)
        shapes = np.sqrt(powers[:, self._strong])
        self._shapes = shapes / np.linalg.norm(shapes, axis=1, keepdims=True)
        self._totals = powers[:, self._strong].sum(axis=1)
        self._found: list[float] = []

    def find(self, powers: Floats) -> float | None:
        """Take in frames, shape (frames, bins); the level once it is known."""
        own = powers[:, self._strong]
        totals = own.sum(axis=1)
        loud = totals > LEAST_POWER
        likeness = np.sqrt(own[loud]) @ self._shapes.T / np.sqrt(totals[loud])[:, np.newaxis]
        best = likeness.argmax(axis=1)
        like = likeness.max(axis=1, initial=0.0) > LIKE
        self._found += (10.0 * np.log10(totals[loud][like] / self._totals[best[like]])).tolist()
        return float(np.median(self._found)) if len(self._found) >= ENOUGH_LIKE else None


def found_in(known: Learnt, pieces: Sequence[Floats], rate_hz: float) -> Learnt | None:
    """A known voice as it sounds in stretches of one thinned sound: as loud and tuned as there, over what sounds beside
    it there, and with those notes anew that last long enough there. None where nothing sounds like it.
    """
    grid = FrameGrid.of(rate_hz)
    powers = [power_spectra(each, grid) for each in pieces]
    powers = [each for each in powers if len(each)]
    pieces = [each for each in pieces if len(each) >= grid.window]
    if not powers:
        return None
    learnt = on_grid(known, grid)
    whole = np.concatenate(powers)
    by_db = LevelFinder(learnt).find(whole)
    if by_db is None:
        return None
    learnt = louder(learnt, by_db)
    # A note that sounds nearly always looks like background: there is no more of that at first than there was then.
    ground = np.minimum(background(whole, grid.hop_s), np.maximum(learnt.ground, _least_ground(whole)))
    learnt = replace(learnt, ground=ground.astype(np.float32))
    unlike_share = 1.0
    for rank in range(ROUNDS):
        ways = [walk(each, learnt) for each in powers]
        if rank == 0:  # before anything is learnt of what may be another sound
            unlike_share = with_noise(powers, ways, learnt).unlike_share
        unseen = replace(learnt.voice, seen=np.full_like(learnt.voice.seen, np.nan))
        learnt = together(learnt_from(pieces, powers, ways, replace(learnt, voice=unseen)), learnt)
        templates = templates_of(learnt.voice, grid)
        learnt = replace(learnt, ground=beside_notes(powers, ways, templates.powers, learnt.ground, grid.hop_s))
    return replace(with_noise(powers, ways, learnt), unlike_share=unlike_share)


def _least_ground(powers: Floats) -> np.float32:
    """The least that a background is taken for: see `background`."""
    return np.float32(max(LEAST_SHARE * float(np.quantile(powers.max(axis=1), 0.95)), 1e-12))
