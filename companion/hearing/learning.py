"""Learns from a recording alone what its chanter sounds like: the pitch and the spectrum of each note."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from companion.hearing.background import background, beside_notes, without_lines
from companion.hearing.echoes.beginnings import beginnings_of
from companion.hearing.echoes.room import MANY_ENDS, EchoNeeds, echoed, echoes_of
from companion.hearing.learnt import Learnt
from companion.hearing.notes.learnt_notes import FIRST_OWN_DB, learnt_from
from companion.hearing.path import NO_PITCH, HeardStretch
from companion.hearing.scale_fit import Bore, ScaleFit, first_notes, fit_scale, scale_spectra, with_drones_told
from companion.hearing.spectra import Floats, FrameGrid, power_spectra
from companion.hearing.voice import BREATH_SHARE, DECIBELS, RANKS, LearntVoice, Templates, audible_pitches, templates_of
from companion.hearing.walks.walk import walk
from fingering.notes import Note

ROUNDS, ROUNDS_IN_ROOM = 2, 3

Ways = Sequence[Sequence[HeardStretch]]
"""Of each stretch of a sound the way through it."""


@dataclass(frozen=True, slots=True, eq=False)
class Learning:
    """What is learnt of stretches of one thinned sound so far. powers: of each its frames, shape (frames, bins).
    background, floor: what sounds all the time in them, by bin of these and as `ScaleSpectra` has it."""

    pieces: Sequence[Floats]
    powers: Sequence[Floats]
    background: Floats
    floor: Floats
    learnt: Learnt

    @property
    def templates(self) -> Templates:
        """What is to be seen of each pitch by what is learnt so far."""
        return templates_of(self.learnt.voice, self.learnt.grid)

    def ways(self) -> Ways:
        """The likeliest way through each stretch by what is learnt so far."""
        return [walk(each, self.learnt) for each in self.powers]

    def by(self, ways: Ways) -> Learning:
        """What is learnt where notes are heard along these ways."""
        return replace(self, learnt=learnt_from(self.pieces, self.powers, ways, self.learnt))

    def going_on_with(self, pieces: Sequence[Floats]) -> Learning:
        """What is learnt so far, to go on with what is left of the stretches without drones."""
        grid = self.learnt.grid
        powers = [power_spectra(each, grid) for each in pieces]
        ground = background(np.concatenate(powers), grid.hop_s)
        spectra = scale_spectra(pieces, grid.rate_hz)
        scale, floor = self.learnt.scale, self.floor
        if spectra is not None:
            scale, floor = with_drones_told(spectra, scale), spectra.floor
        return Learning(pieces, powers, ground, floor, replace(self.learnt, scale=scale, ground=ground))


def begun(pieces: Sequence[Floats], rate_hz: float) -> Learning | None:
    """Learn from stretches of one thinned sound by its scale alone; None where nothing stands above the background."""
    spectra = scale_spectra(pieces, rate_hz)
    scale = fit_scale(spectra) if spectra else None
    if spectra is None or scale is None:
        return None
    grid = FrameGrid.of(rate_hz)
    powers = [power_spectra(each, grid) for each in pieces]
    ground = background(np.concatenate(powers), grid.hop_s)
    learnt = Learnt(scale, grid, _first_voice(scale, powers, ground), ground, FIRST_OWN_DB, (0,) * len(Note))
    ways = [
        [HeardStretch(note, _frame(begin_s, grid), _frame(stop_s, grid)) for note, begin_s, stop_s in each]
        for each in first_notes(spectra, scale)
    ]
    return Learning(pieces, powers, ground, spectra.floor, learnt).by(ways)


def learn(pieces: Sequence[Floats], rate_hz: float, needs: EchoNeeds = MANY_ENDS) -> Learnt | None:
    """Learn from stretches of one thinned sound; None where nothing stands above the background.

    needs: as for `learnt_in_full`.
    """
    learning = begun(pieces, rate_hz)
    return None if learning is None else learnt_in_full(learning, needs)


def learnt_in_full(learning: Learning, needs: EchoNeeds = MANY_ENDS) -> Learnt:
    """Learn all of a sound of which learning has begun.

    needs: by how many notes' ends a room's echo is believed. One that an earlier round found stands until a later one
    has as much to go by.
    """
    for rank in range(ROUNDS_IN_ROOM):
        if rank < ROUNDS or learning.learnt.echo is not None:
            ways = learning.ways()
            learning = _learnt_round(learning, ways, needs)
    return with_noise(learning.powers, ways, learning.learnt)


def _learnt_round(learning: Learning, ways: Ways, needs: EchoNeeds) -> Learning:
    """What is learnt by these ways: each note, then what sounds beside it, be that an echo or not."""
    powers, ground, hop_s = learning.powers, learning.background, learning.learnt.grid.hop_s
    known = learning.learnt.echo  # where gracenotes are heard well, few notes' ends say how a room fades
    learning = learning.by(ways)
    echo = echoes_of(powers, ways, learning.templates, ground, hop_s, needs, known)
    if echo is None:
        beside = beside_notes(powers, ways, learning.templates.powers, ground, hop_s)
        return replace(learning, learnt=replace(learning.learnt, echo=None, ground=beside))
    # Between the harmonics stand echoes of earlier notes too: what sounds beside them is not to be told.
    learning = replace(learning, learnt=replace(learning.learnt, echo=echo))
    if known is None:  # now that it is known which frames hold other notes' echoes
        learning = learning.by(ways)
    begun_so = beginnings_of(powers, ways, learning.templates, ground, echo, hop_s)
    return replace(learning, learnt=replace(learning.learnt, beginnings=begun_so, ground=ground))


def _first_voice(scale: ScaleFit, powers: Sequence[Floats], ground: Floats) -> LearntVoice:
    """A voice as it may be expected, as loud as what sounds."""
    pitches = audible_pitches(scale.tuning)
    hz = np.array([scale.notes_hz[each.note] * 2.0 ** (each.off_cents / 1200.0) for each in pitches])
    ranks = np.arange(1, RANKS + 1)
    levels = 1.0 / ranks**1.5
    if scale.bore is Bore.PRACTICE:
        levels = np.where(ranks % 2 == 0, 0.05 * levels, levels)
    totals = np.concatenate([np.maximum(each - ground, 0.0).sum(axis=1) for each in powers])
    loud = float(np.median(totals[totals > 0.1 * np.quantile(totals, 0.95)])) / 1.5  # a lobe's bins add up to 1.5
    harmonics = np.tile(levels / levels.sum() * loud, (len(pitches), 1))
    unseen = np.full((len(pitches), len(ground)), np.nan)
    return LearntVoice(pitches, hz, harmonics, harmonics.sum(axis=1) * BREATH_SHARE, unseen, unseen)


def with_noise(powers: Sequence[Floats], ways: Sequence[Sequence[HeardStretch]], learnt: Learnt) -> Learnt:
    """How loud the background is against the notes, and what share of notes' frames is not like their templates."""
    templates = templates_of(learnt.voice, learnt.grid)
    loud, over, whole = [], 0.0, 1e-12
    for power, way in zip(powers, ways, strict=True):
        left = echoed(power, learnt.echo, learnt.grid.hop_s) if learnt.echo else np.zeros_like(power)
        for each in way:
            if each.pitch != NO_PITCH:
                frames = slice(each.first, each.stop)
                seen, told = power[frames], templates.powers[each.pitch] + learnt.ground + left[frames]
                loud.append((float(templates.powers[each.pitch].sum()), len(seen)))
                over += float(np.maximum(seen - 4.0 * told, 0.0).sum())
                whole += float(seen.sum())
    if not loud:
        return learnt
    level = float(np.average([each for each, _ in loud], weights=[count for _, count in loud]))
    # Drones are no noise, nor are echoes; of what sounds with them the median over bins tells.
    covered = learnt.scale.drones or learnt.echo
    noise = np.median(learnt.ground) * len(learnt.ground) if covered else without_lines(learnt.ground).sum()
    noise_db = float(DECIBELS * np.log(noise / level))
    return replace(learnt, noise_db=noise_db, unlike_share=over / whole)


def _frame(at_s: float, grid: FrameGrid) -> int:
    return max(0, round((at_s * grid.rate_hz - 0.5 * grid.window) / grid.hop))
