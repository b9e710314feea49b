"""Names short notes that are F or high G by their pitch, where it tells. Pure."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

from companion.hearing.heard import HeardNote, SureName
from companion.hearing.learnt import ENOUGH_TO_SEE, Learnt
from companion.hearing.notes.high_g_places import HighGPlaces, nearest_f
from companion.hearing.notes.joining import joined
from companion.hearing.notes.long_names import LongNotes, long_names
from companion.hearing.notes.one_of_two import following, nearly_touch, whole
from companion.hearing.notes.parted import parted
from companion.hearing.notes.runs.near_levels import NEAR_NOTES
from companion.hearing.notes.runs.near_parts import parted_by_levels
from companion.hearing.notes.settled_pitches import begun_after_other, settled_pitches
from companion.hearing.notes.short_pitches import HEAD_FRAMES, LONGEST_S, HeadPitch, MeasuredPitches, ShortPitch
from companion.hearing.spectra import FrameGrid
from fingering.notes import Note

SHORTEST_S = 0.018
"""A shorter note has no frame without its neighbours."""

LEAST_LOOKED_AT_S, ECHO_FRAMES, LAST_FRAMES = 0.1, 10, 4
"""In a room a note that lasts as long is looked at all over, from 25 ms after its beginning, by when the echo of what
sounded before moves its pitch no longer, to 10 ms before its end."""

LEAST_IN_ECHO_S: Mapping[Note, float] = MappingProxyType({Note.F: 0.025, Note.HIGH_G: 0.035})
FIRST_IN_ECHO, LAST_IN_ECHO = 5, 1
"""A shorter one too where it follows an F or high G, from 13 to 3 ms: what was so sure to be what it was told to be was
that in 1,710 of 1,725, and for a third of its time in the other 15 (nine seeds, seven sources in a room of 0.4 s)."""

MOST_LOOKS = 0.8
"""The share of looks at a note in a room that lie in its place, at least, for it to be that to its end: on trial (four
seeds, seven sources) all of 130 high Gs of 100 ms and more before F, none of 22 that an echo had made as long."""

MOST_LOOKS_OF_HIGH_G = 0.5
"""A note told as F of which more looks lie in F's place is no high G. A choice, no source."""

STILL_RINGS_S = 0.04
"""A high G rings so long that what may be F or high G is in its echo too with one note between. On trial (20 seeds,
seven sources in rooms of 0.4 s) 21 of 21 Fs there that their pitch made high Gs were Fs, and of 395 high Gs that it
made sure 198 were none."""

HEAD_S = 0.025
"""An F whose beginning sounds like one surely is no high G for as long."""


@dataclass(frozen=True, slots=True)
class _Short:
    """A short note, by its rank; what it was told to be by its spectrum; its pitch in cents above F, near its end, and
    look by look, if it was looked at; the note that follows, None for none that touches it; whether in a room it
    follows an F or high G, whose echo moves its pitch: then that tells no more than that it is what it was told to
    be."""

    rank: int
    told: Note
    cents: float
    late_cents: float
    looks: tuple[float, ...]
    before: Note | None
    is_in_echo: bool


def named_by_pitch(
    notes: Sequence[HeardNote], measured: MeasuredPitches, learnt: Learnt
) -> tuple[tuple[HeardNote, ...], tuple[SureName, ...]]:
    """The notes, of which short ones that their pitch tells are named by it; and those, long ones too, that are surely
    so.

    In a room what sounds on of an F or high G before is not told from the note: a short one there is left as it was, a
    longer one at most told to be surely what it was, or parted; and an echo hides gracenotes within the first tenth of
    a second of a long note, of which nothing is sure but how it begins.
    """
    if learnt.heard[Note.F] < ENOUGH_TO_SEE:
        return tuple(notes), ()
    long = LongNotes.of(measured.lasting, learnt)
    notes = whole(notes)
    looks = {
        frame: cents - long.f_cents
        for each in measured.short
        for frame, cents in enumerate(each.looks, each.first)
        if not math.isnan(cents)
    }
    shorts = _shorts(notes, measured.short, looks, learnt, long.f_cents)
    places = HighGPlaces.of(
        [(each.before, each.cents) for each in shorts if each.before is not None and not each.is_in_echo], long, learnt
    )
    sure: list[SureName] = []
    if looks:
        notes, sure = parted(notes, looks, places, learnt.grid, learnt.shortest_s)
        notes, settled = settled_pitches(notes, looks, places, learnt.grid, learnt.shortest_s)
        sure += settled
        shorts = _shorts(notes, measured.short, looks, learnt, long.f_cents)
    out = list(notes)
    surely: dict[int, SureName] = {}
    for each in shorts:
        name = _name(each, places)
        if name is not None:
            told, no_other = out[each.rank], _no_other(each, name, places)
            others = told.others - set(NEAR_NOTES)
            out[each.rank] = replace(told, note=name, others=others, by_pitch=bool(no_other))
            surely[each.rank] = SureName(out[each.rank], no_other)
    named = tuple(joined(out))
    sure += [each for each in surely.values() if each.no_other]
    if looks:
        begun_ones, settled = begun_after_other(named, looks, places, learnt.grid)
        named = tuple(begun_ones)
        sure += settled
    if learnt.echo is None:
        sure += long_names(named, measured.lasting, long, learnt)
    begun = _begun(named, measured.heads, places, long.f_cents, learnt)
    out = [
        replace(each, others=each.others - {Note.HIGH_G}) if rank in begun else each for rank, each in enumerate(named)
    ]
    by_levels, settled_parts = parted_by_levels(out, measured.runs, learnt)
    return by_levels, (*sure, *begun.values(), *settled_parts)


def _shorts(
    notes: Sequence[HeardNote],
    pitches: Sequence[ShortPitch],
    looks: Mapping[int, float],
    learnt: Learnt,
    f_cents: float,
) -> list[_Short]:
    firsts = [each.first for each in pitches]
    found = []
    for rank, note in enumerate(notes):
        if note.note not in NEAR_NOTES or not SHORTEST_S <= note.length_s < LONGEST_S:
            continue
        middle = 0.5 * (learnt.grid.first_frame(note.at_s) + learnt.grid.first_frame(note.stop_s) - 1)
        at = bisect_right(firsts, middle) - 1
        if at < 0 or middle >= pitches[at].stop:
            continue
        pitch = pitches[at]
        is_in_echo = learnt.echo is not None and (_follows_near(rank, notes) or _follows_high_g(rank, notes))
        is_long = learnt.echo is not None and note.length_s >= LEAST_LOOKED_AT_S
        seen: tuple[float, ...] = ()
        if is_long:
            seen = _looks_at(note, looks, learnt.grid, ECHO_FRAMES, LAST_FRAMES)
        elif note.length_s >= LEAST_IN_ECHO_S[note.note] and (is_in_echo or note.note is Note.F):
            seen = _looks_at(note, looks, learnt.grid, FIRST_IN_ECHO, LAST_IN_ECHO)
        if not seen and (is_long or is_in_echo):
            continue
        late_cents = pitch.cents if pitch.late_cents is None else pitch.late_cents
        before = following(rank, notes)
        found.append(_Short(rank, note.note, pitch.cents - f_cents, late_cents - f_cents, seen, before, is_in_echo))
    return found


def _looks_at(note: HeardNote, looks: Mapping[int, float], grid: FrameGrid, first: int, last: int) -> tuple[float, ...]:
    """The pitches of a note in a room, without so many frames at its ends; none elsewhere."""
    frames = range(grid.first_frame(note.at_s) + first, grid.first_frame(note.stop_s) - last)
    return tuple(looks[frame] for frame in frames if frame in looks)


def _name(short: _Short, places: HighGPlaces) -> Note | None:
    """The note that a short one surely is; None if it may be either."""
    if short.before is None:
        return None
    if short.is_in_echo:
        return short.told if _sounds_all_over(short, short.told, places) else None
    place = places.over[short.before]
    # A low G's echo begins an F at the pitch of a high G.
    ends_as_f = short.told is Note.F and _share_in_place(short, Note.F, places) > MOST_LOOKS_OF_HIGH_G
    if not ends_as_f and short.cents > max(places.apart, 0.5 * place):
        return Note.HIGH_G
    is_known = short.before in places.known and place - short.cents > places.apart_from_high
    is_f = short.told is Note.F and (is_known or _sounds_all_over(short, Note.F, places))
    return Note.F if is_f else None


def _sounds_all_over(short: _Short, name: Note, places: HighGPlaces) -> bool:
    """Whether so many looks at a note lie in the place of that name that it sounds from its beginning to its end; never
    of what was not looked at."""
    return bool(short.looks) and _share_in_place(short, name, places) >= MOST_LOOKS


def _share_in_place(short: _Short, name: Note, places: HighGPlaces) -> float:
    """Return the share of looks at a note that lie in the place of that name."""
    is_it = places.is_f if name is Note.F else places.is_high_g
    return sum(is_it(each, short.before) for each in short.looks) / max(1, len(short.looks))


def _no_other(short: _Short, name: Note, places: HighGPlaces) -> frozenset[Note]:
    """The names that a short note of that name surely has not, as long as it lasts; none where its pitch lies elsewhere
    than others of that name: then there may be another note within it.

    The octave of low G lies where the high G of the chart does, and not where one that is played on low G does.
    """
    place = nearest_f(short.cents)
    if name is Note.HIGH_G and short.before is not None:
        place = places.over[short.before]
    measured = all(places.is_near(each, place) for each in (short.cents, short.late_cents))
    if not (_sounds_all_over(short, name, places) if short.looks else measured):
        return frozenset()
    on_low_g = short.before is Note.LOW_G and name is Note.HIGH_G and short.before in places.known
    octave = on_low_g and places.plain - short.cents > places.apart_from_high
    return frozenset(NEAR_NOTES) - {name} | ({Note.LOW_G} if octave else frozenset())


def _begun(
    notes: Sequence[HeardNote], heads: Sequence[HeadPitch], places: HighGPlaces, f_cents: float, learnt: Learnt
) -> dict[int, SureName]:
    """The beginnings of Fs, by their ranks, after another note than a high G, that surely are no high G: neither one
    that is played on F nor one on the note that follows."""
    by_frame = {each.first: each.cents for each in heads if len(each.cents) == len(HEAD_FRAMES)}
    found = {}
    for rank, note in enumerate(notes):
        if note.note is not Note.F or note.length_s < HEAD_S or _follows_near(rank, notes):
            continue
        cents, before = by_frame.get(learnt.grid.first_frame(note.at_s), ()), following(rank, notes)
        if cents and all(places.is_f(each - f_cents, before) for each in cents):
            found[rank] = SureName(replace(note, stop_s=note.at_s + HEAD_S), frozenset({Note.HIGH_G}))
    return found


def _follows_near(rank: int, notes: Sequence[HeardNote]) -> bool:
    """Whether a note touches an F or high G at its beginning."""
    return rank > 0 and nearly_touch(notes[rank - 1], notes[rank]) and notes[rank - 1].note in NEAR_NOTES


def _follows_high_g(rank: int, notes: Sequence[HeardNote]) -> bool:
    """Whether a high G ended shortly before a note, one note between."""
    if rank < 2:
        return False
    earlier = notes[rank - 2]
    return earlier.note is Note.HIGH_G and notes[rank].at_s - earlier.stop_s <= STILL_RINGS_S
