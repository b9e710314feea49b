"""Learns from a recording alone what its chanter sounds like: the pitch and the spectrum of each note."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from companion.hearing.background import background, beside_notes, without_lines
from companion.hearing.echoes.beginnings import Beginnings, beginnings_of, expected_beginnings
from companion.hearing.echoes.room import DELAY_S, MANY_ENDS, EchoNeeds, RoomEcho, echoed, echoes_of
from companion.hearing.echoes.room_costs import RoomCosts, room_costs
from companion.hearing.echoes.room_path import RoomPathFinder
from companion.hearing.likeness import Workspace, costs_of, noise_costs, of_pitches, pitch_costs
from companion.hearing.note_spectra import (
    ROOM_EDGE_S,
    ROOM_LEAST_S,
    inner_frames,
    likeness,
    measured_pitch,
    measured_spectrum,
    spectrum_as_seen,
)
from companion.hearing.path import NO_PITCH, HeardStretch, PathFinder
from companion.hearing.scale_fit import Bore, ScaleFit, first_notes, fit_scale
from companion.hearing.spectra import Floats, FrameGrid, power_spectra
from companion.hearing.voice import (
    BREATH_SHARE,
    DECIBELS,
    RANKS,
    AudiblePitch,
    LearntVoice,
    Templates,
    audible_pitches,
    templates_of,
    without_foreign_lines,
)
from companion.hearing.walks.near_costs import TellsCosts, all_costs, near_costs
from fingering.notes import Note

ROUNDS, ROUNDS_IN_ROOM = 2, 3
FIRST_OWN_DB, LEAST_OWN_DB, MOST_OWN_DB = 6.0, 2.0, 3.0
"""By how much a bin strays from its template: at first, and at least and most as learnt."""

GRACENOTE_COST = {Note.HIGH_G: -3.0, Note.D: -1.0}
RARE_COST = 5.0
FALSE_COST = 0.1
"""The false fingerings of high G and D, whose fingers make most gracenotes, begin more easily than any note, the others
less; none of them lasts: what each frame of one costs."""

LASTING_FALSE_COST = 3.0
"""In a room, where it may be an octave's echo that makes a note like one, nothing but what has just begun is a false
fingering."""

SHORTEST_S, SHORTEST_IN_ROOM_S = 0.012, 0.018

ENOUGH_FRAMES = 40
ENOUGH_TO_SEE = 120
FALSE_EDGE_S, FALSE_LEAST_S, ENOUGH_FALSE = 0.010, 0.025, 40
"""Likewise of false fingerings, which are short."""

NEAR_CENTS = 60.0
"""How near to each other (cents) two pitches are that may be taken for each other, where only one of them is known."""

LEAST_LIKENESS = 0.85
VEIL_DAMPS, VEIL_SOFTENS = 0.3, 0.4
"""What a veil takes from each harmonic (as the power of e for each rank) and from the whole: as our voices have it."""


CHANGE_COST, CHANGE_IN_ROOM_COST = 8.0, 5.5
"""What a change of note costs, by trial: in a room less, where the first 20 ms of a note, before its own echo can be
taken for that of an earlier one, are nearly all that tells it."""


@dataclass(frozen=True, slots=True, eq=False)
class Learnt:
    """What was learnt of a recording. ground: the power that sounds all the time, by bin. own_db: by how much a bin
    strays from its template. heard: frames in which each note was learnt from."""

    scale: ScaleFit
    grid: FrameGrid
    voice: LearntVoice
    ground: Floats
    own_db: float
    heard: tuple[int, ...]
    echo: RoomEcho | None = None
    noise_db: float = 0.0
    unlike_share: float = 0.0
    beginnings: Beginnings | None = None

    @property
    def shortest_s(self) -> float:
        """What is shorter is not told: before a note has settled, and in a room's echo, anything may seem to sound."""
        return SHORTEST_S if self.echo is None else SHORTEST_IN_ROOM_S


def learn(pieces: Sequence[Floats], rate_hz: float, needs: EchoNeeds = MANY_ENDS) -> Learnt | None:
    """Learn from stretches of one thinned sound; None where nothing stands above the background.

    needs: by how many notes' ends a room's echo is believed. One that an earlier round found stands until a later one
    has as much to go by.
    """
    scale = fit_scale(pieces, rate_hz)
    if scale is None:
        return None
    grid = FrameGrid.of(rate_hz)
    powers = [power_spectra(each, grid) for each in pieces]
    ground = background(np.concatenate(powers), grid.hop_s)
    learnt = Learnt(scale, grid, _first_voice(scale, powers, ground), ground, FIRST_OWN_DB, (0,) * len(Note))
    ways = [
        [HeardStretch(note, _frame(begin_s, grid), _frame(stop_s, grid)) for note, begin_s, stop_s in each]
        for each in first_notes(pieces, rate_hz, scale)
    ]
    learnt = learnt_from(pieces, powers, ways, learnt)
    for rank in range(ROUNDS_IN_ROOM):
        if rank >= ROUNDS and learnt.echo is None:
            break
        ways = [walk(each, learnt) for each in powers]
        learnt = learnt_from(pieces, powers, ways, learnt)
        templates = templates_of(learnt.voice, grid)
        known = learnt.echo  # where gracenotes are heard well, few notes' ends say how a room fades
        echo = echoes_of(powers, ways, templates, ground, grid.hop_s, needs, known)
        learnt = replace(learnt, echo=echo)
        if echo is not None:
            if known is None:  # now that it is known which frames hold other notes' echoes
                learnt = learnt_from(pieces, powers, ways, learnt)
                templates = templates_of(learnt.voice, grid)
            begun = beginnings_of(powers, ways, templates, ground, echo, grid.hop_s)
            learnt = replace(learnt, beginnings=begun)
        # Between the harmonics stand echoes of earlier notes too, where there are any.
        beside = beside_notes(powers, ways, templates.powers, ground, grid.hop_s)
        learnt = replace(learnt, ground=ground if learnt.echo else beside)
    return with_noise(powers, ways, learnt)


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


def walk(powers: Floats, learnt: Learnt) -> list[HeardStretch]:
    """The likeliest way through frames, by what is learnt; not what it costs."""
    if not len(powers):
        return []
    templates = templates_of(learnt.voice, learnt.grid)
    if learnt.echo is None:
        finder = PathFinder(*change_costs(learnt.voice.pitches))
        finder.take_in(_near_frame_costs(powers, learnt, templates))
        return finder.whole_way()
    in_room = RoomPathFinder(*change_costs(learnt.voice.pitches, in_room=True))
    every, told = slice(0, len(powers)), partial(near_costs, change_nats=CHANGE_IN_ROOM_COST)
    in_room.take_in(frame_costs_in_room(powers, learnt, templates, learnt.echo, every, told))
    return in_room.whole_way()


def frame_costs(powers: Floats, learnt: Learnt, templates: Templates, before: int = 0) -> Floats:
    """What frames cost as each pitch, and last as silence, without the first `before`, whose echoes alone count."""
    hop_s = learnt.grid.hop_s
    echo = echoed(powers, learnt.echo, hop_s)[before:] if learnt.echo else None
    own_echo = learnt.echo.share_after(DELAY_S) if learnt.echo else 0.0
    costs = costs_of(powers[before:], learnt.ground, echo, templates, learnt.own_db, own_echo)
    costs.by_pitch[:, len(Note) :] += np.float32(FALSE_COST)
    return costs.together


def _near_frame_costs(powers: Floats, learnt: Learnt, templates: Templates) -> Floats:
    """As `frame_costs` where there is no echo, exact as far as a way goes by it."""
    steady, work = learnt.ground[np.newaxis, np.newaxis], Workspace()

    def costs_of_pairs(frames: NDArray[np.intp], pitches: NDArray[np.intp] | slice) -> Floats:
        own = of_pitches(templates, pitches)
        return pitch_costs(powers[frames], own, learnt.own_db, steady, steady, steady, work)

    by_pitch = near_costs(costs_of_pairs, np.arange(len(powers)), change_nats=CHANGE_COST)
    by_pitch[:, len(Note) :] += np.float32(FALSE_COST)
    return np.concatenate((by_pitch, noise_costs(powers, learnt.ground)[:, np.newaxis]), axis=1)


def frame_costs_in_room(
    powers: Floats, learnt: Learnt, templates: Templates, echo: RoomEcho, frames: slice, told: TellsCosts = all_costs
) -> RoomCosts:
    """The costs of some of the frames, as `room_costs` has them, where false fingerings are but short."""
    beginnings = learnt.beginnings or expected_beginnings(templates)
    begun = beginnings.templates(templates, learnt.ground, learnt.voice, learnt.grid)
    costs = room_costs(powers, learnt.ground, echo, templates, begun, learnt.own_db, learnt.grid.hop_s, frames, told)
    costs.lasting[:, len(Note) : -1] += np.float32(LASTING_FALSE_COST)
    return costs


def change_costs(pitches: Sequence[AudiblePitch], *, in_room: bool = False) -> tuple[Floats, Floats]:
    """What leaving and entering each pitch, and silence last, costs."""
    half = np.full(len(pitches) + 1, 0.5 * (CHANGE_IN_ROOM_COST if in_room else CHANGE_COST), np.float32)
    entering = half.copy()
    for rank, each in enumerate(pitches):
        if not each.plain:
            entering[rank] += GRACENOTE_COST.get(each.note, RARE_COST)
    return half, entering


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


def learnt_from(
    pieces: Sequence[Floats], powers: Sequence[Floats], ways: Sequence[Sequence[HeardStretch]], learnt: Learnt
) -> Learnt:
    """What is learnt anew, each note from where it was heard."""
    grid, voice = learnt.grid, learnt.voice
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
    """By how much bins on a note's harmonics stray from its template."""
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
