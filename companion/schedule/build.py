"""Builds the schedule of a tune: times gracenotes, names embellishments, and orders the movements of fingers."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise

from companion.schedule.bars import TimedBar, timed_bars
from companion.schedule.events import Beat, Event, EventKind, Schedule, TimedState
from companion.schedule.pace import BarPace
from companion.schedule.timing import Gracing, Placement, Timing
from companion.score.model import Bar, Tune
from companion.score.performance import PlayedNote, performance
from fingering.chart import chart, sounded
from fingering.embellishments import Embellishment, recognise
from fingering.movement import gracenote_states
from fingering.notes import Note

# A movement of fingers takes at most this share of the shorter of the two events that it joins.
MAX_LEAD_SHARE = 0.25


def build_schedule(tune: Tune, timing: Timing) -> Schedule:
    """The schedule of a tune. The first melody note's beat is at 0 s."""
    played = performance(tune)
    pace = BarPace(tune, timing)
    embellishments = name_embellishments(played)
    onsets = tuple(timing.slow_down * at for at in accumulate(map(pace.note_s, played), initial=0.0))
    events = tuple(_events(played, onsets, _grace_spans(played, embellishments, pace, timing)))
    bars = tuple(timed_bars(_turns(tune), pace, timing.slow_down))
    return Schedule(
        played=played,
        embellishments=embellishments,
        events=events,
        states=_states(events, _lead_s(timing)),
        beats=tuple(_beats(bars)),
        note_onsets_s=onsets[:-1],
        duration_s=onsets[-1],
        bars=bars,
    )


def name_embellishments(played: Sequence[PlayedNote]) -> tuple[Embellishment | None, ...]:
    """The embellishment that leads onto each played note from the one before; None where there is none."""
    notes = [each.note.note for each in played]
    return tuple(
        recognise(each.note.gracenotes, onto=note, before=before) if each.note.gracenotes and note is not None else None
        for each, before, note in zip(played, [None, *notes], notes, strict=False)
    )


@dataclass(frozen=True, slots=True)
class _GraceSpan:
    """When the gracenotes onto a note sound: seconds from its onset (negative: before it), and each one's length."""

    offset_s: float
    lengths_s: tuple[float, ...]


def _is_before(index: int, embellishment: Embellishment | None, timing: Timing) -> bool:
    """Whether gracenotes come before the beat; never at the first note, which has none before it to borrow from."""
    return index > 0 and embellishment is not None and timing.placements[embellishment.family] is Placement.BEFORE


def _grace_spans(
    played: Sequence[PlayedNote], embellishments: Sequence[Embellishment | None], pace: BarPace, timing: Timing
) -> list[_GraceSpan]:
    before = [_is_before(i, embellishment, timing) for i, embellishment in enumerate(embellishments)]
    wanted = [
        [float(length) * timing.gracenote_s for length in each.note.lengths_of_gracenotes()] if embellishment else []
        for each, embellishment in zip(played, embellishments, strict=True)
    ]
    demand = [0.0] * len(played)
    lender = [i - 1 if early else i for i, early in enumerate(before)]
    for i, lengths in enumerate(wanted):
        demand[lender[i]] += sum(lengths)
    stretch = timing.slow_down if timing.gracing is Gracing.STRETCH else 1.0
    spans = []
    for i, lengths in enumerate(wanted):
        limit = timing.max_share * pace.note_s(played[lender[i]])
        squeeze = min(1.0, limit / demand[lender[i]]) if demand[lender[i]] else 1.0
        fitted = tuple(length * squeeze * stretch for length in lengths)
        spans.append(_GraceSpan(-sum(fitted) if before[i] else 0.0, fitted))
    return spans


def _events(played: Sequence[PlayedNote], onsets: Sequence[float], spans: Sequence[_GraceSpan]) -> Iterator[Event]:
    held = next((each.note.note for each in played if each.note.note is not None), Note.LOW_A)
    state = chart(held)
    for i, each in enumerate(played):
        melody = each.note.note
        start = onsets[i] + spans[i].offset_s
        if melody is not None:
            graces = each.note.gracenotes
            states = gracenote_states(graces, melody)
            for rank, length in enumerate(spans[i].lengths_s):
                yield Event(start, start + length, EventKind.GRACENOTE, graces[rank], states[rank], i, rank)
                start += length
            held, state = melody, chart(melody)
        following = spans[i + 1].offset_s if i + 1 < len(spans) else 0.0
        kind = EventKind.REST if melody is None else EventKind.MELODY
        yield Event(start, onsets[i + 1] + following, kind, held, state, i)


def _lead_s(timing: Timing) -> float:
    return timing.lead_s * (timing.slow_down if timing.gracing is Gracing.STRETCH else 1.0)


def _states(events: Sequence[Event], lead_s: float) -> tuple[TimedState, ...]:
    if not events:
        return ()
    first = events[0]
    states = [TimedState(first.start_s, first.state, sounded(first.state), first.kind, 0)]
    for index, (old, new) in enumerate(pairwise(events), start=1):
        states.extend(_movement(old, new, index, lead_s))
    return tuple(states)


def _movement(old: Event, new: Event, index: int, lead_s: float) -> Iterator[TimedState]:
    """The states between two events: what opens goes before what closes, and what is heard changes on the event's time.

    Out of a rest the fingers arrive in silence, so that the note comes clean.
    """
    lifts, drops = old.state.lifts_to(new.state), old.state.drops_to(new.state)
    settled_at = new.start_s
    if lifts and drops:
        between = old.state.lifting(*lifts)
        lead = min(lead_s, *(MAX_LEAD_SHARE * (event.end_s - event.start_s) for event in (old, new)))
        silent = old.kind is EventKind.REST
        late = not silent and sounded(new.state) > sounded(old.state)
        moves_at = new.start_s if late else new.start_s - lead
        settled_at = new.start_s + lead if late else new.start_s
        yield TimedState(moves_at, between, sounded(between), EventKind.REST if silent else EventKind.MOVING, index)
    yield TimedState(settled_at, new.state, sounded(new.state), new.kind, index)


def _beats(bars: Iterable[TimedBar]) -> Iterator[Beat]:
    """Yield the beats of every bar."""
    for bar in bars:
        at = -bar.filled % bar.meter.beat_length
        while at < bar.length:
            yield Beat(bar.start_s + float(at) * bar.whole_note_s, bar.filled + at == 0, bar.turn)
            at += bar.meter.beat_length


def _turns(tune: Tune) -> Iterator[tuple[int, Bar]]:
    """Yield the bars as played with their index in `Tune.order`, also those whose notes are all tied to others."""
    return ((turn, tune.bars[index]) for turn, index in enumerate(tune.order))
