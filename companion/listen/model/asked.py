"""What a schedule asks the ear to hear: its notes as one sounding thing after another."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from companion.listen.model.terms import AT_SPEED, TakeTerms
from companion.schedule.build import build_schedule
from companion.schedule.events import Event, EventKind, Schedule
from companion.schedule.stretch import events_in
from companion.schedule.timing import Timing
from companion.score.model import Tune
from companion.score.performance import PlayedNote
from fingering.holes import HoleState
from fingering.notes import Note


@dataclass(frozen=True, slots=True)
class Token:
    """One sounding note that the tune asks for: events `first` to `last` of the schedule, equal notes in a row.

    Two equal notes in a row are one sounding note on a chanter, so they are one token. `is_melody` tells whether any of
    them is a melody note; `opens` and `closes` are the holes at its beginning and end; `after_rest` follows a rest. It
    is timed as slowly as it was asked for. `events` are all that it stands for, and `melody` the played note that it
    is, or that it leads to: its last melody note, else its gracenotes' own.
    """

    note: Note
    first: int
    last: int
    start_s: float
    end_s: float
    is_melody: bool
    opens: HoleState
    closes: HoleState
    after_rest: bool
    events: tuple[Event, ...]
    melody: int


def is_headed(token: Token) -> bool:
    """Return whether a token is one melody note and before it its own last gracenote, which sounds like it, as in a
    taorluath onto E."""
    return [event.kind for event in token.events] == [EventKind.GRACENOTE, EventKind.MELODY]


@dataclass(frozen=True, slots=True)
class Asked:
    """A tune as it is asked for: its schedule, the tokens in order, and where each bar and part begins among them.

    The schedule is all of the tune, also where a stretch of it is asked for: the tokens are those of the stretch.
    The schedule is at the metronome's tempo where one kept the time by the terms, else at the tune's own.
    `bar_starts` are the tokens with which a bar of the performance begins, gracenotes included; `far_starts` those of
    them that begin a part; `note_tokens` maps each played note of the schedule to the token that holds it (None: it is
    a rest, or not asked for).
    """

    schedule: Schedule
    tokens: tuple[Token, ...]
    bar_starts: tuple[int, ...]
    far_starts: tuple[int, ...]
    note_tokens: tuple[int | None, ...]
    terms: TakeTerms = AT_SPEED

    @property
    def has_gracenotes(self) -> bool:
        """Whether the tune asks for any gracenote at all."""
        return any(event.kind is EventKind.GRACENOTE for token in self.tokens for event in token.events)

    @property
    def notes(self) -> range:
        """What is asked for, as indices of the played notes of the schedule."""
        stretch = self.terms.stretch
        return range(len(self.schedule.played)) if stretch is None else stretch.notes

    def events(self, token: int) -> tuple[Event, ...]:
        """The events that one token stands for."""
        return self.tokens[token].events

    def melody_of(self, token: int) -> int:
        """The played note that a token is, or that it leads to: its last melody note, else its gracenotes' own."""
        return self.tokens[token].melody

    def played(self, index: int) -> PlayedNote:
        """The played note of that index."""
        return self.schedule.played[index]


def ask_for(tune: Tune, terms: TakeTerms) -> Asked:
    """What the ear is asked to hear of a tune on these terms. Raises UserError for a metronome that is out of reach."""
    return ask(build_schedule(tune, Timing(beats_per_minute=terms.metronome_bpm)), terms)


def ask(schedule: Schedule, terms: TakeTerms = AT_SPEED) -> Asked:
    """Read a schedule, or the stretch of it that is asked for, as the ear hears it."""
    events = range(len(schedule.events)) if terms.stretch is None else events_in(schedule, terms.stretch)
    tokens = _tokens(schedule, events, terms.schedule_slowed)
    holder = {event: rank for rank, token in enumerate(tokens) for event in range(token.first, token.last + 1)}
    bars = _first_events_of_turns(schedule, events)
    bar_starts = tuple(sorted({holder[event] for event in bars.values() if event in holder}))
    far_starts = _far_starts(schedule, bars, holder)
    return Asked(schedule, tokens, bar_starts, far_starts, _note_tokens(schedule, holder), terms)


def _tokens(schedule: Schedule, events: range, slowed: float) -> tuple[Token, ...]:
    groups: list[list[int]] = []
    rested: list[bool] = []
    after_rest = False
    for index in events:
        event = schedule.events[index]
        if event.kind is EventKind.REST:
            after_rest = True
            continue
        same = groups and not after_rest and schedule.events[groups[-1][-1]].note is event.note
        if same:
            groups[-1].append(index)
        else:
            groups.append([index])
            rested.append(after_rest)
        after_rest = False
    return tuple(_token(schedule, slowed, group, rest) for group, rest in zip(groups, rested, strict=True))


def _token(schedule: Schedule, slowed: float, group: list[int], after_rest: bool) -> Token:
    events = tuple([schedule.events[index] for index in group])
    first, last = events[0], events[-1]
    melodies = [event.played for event in events if event.kind is EventKind.MELODY]
    return Token(
        first.note,
        group[0],
        group[-1],
        slowed * first.start_s,
        slowed * last.end_s,
        bool(melodies),
        first.state,
        last.state,
        after_rest,
        events,
        melodies[-1] if melodies else last.played,
    )


def _first_events_of_turns(schedule: Schedule, events: range) -> dict[int, int]:
    firsts: dict[int, int] = {}
    for index in events:
        event = schedule.events[index]
        if event.kind is not EventKind.REST:
            firsts.setdefault(schedule.played[event.played].turn, index)
    return firsts


def _far_starts(schedule: Schedule, bars: dict[int, int], holder: dict[int, int]) -> tuple[int, ...]:
    """A bar that does not follow the one before it in writing begins a part, a repeat or an ending."""
    turns = sorted(bars)
    begins = {turns[0]} if turns else set()
    for before, after in pairwise(turns):
        old, new = (schedule.played[schedule.events[bars[turn]].played].bar for turn in (before, after))
        if new.number != old.number + 1 or old.ends_phrase:
            begins.add(after)
    return tuple(sorted({holder[bars[turn]] for turn in begins}))


def _note_tokens(schedule: Schedule, holder: dict[int, int]) -> tuple[int | None, ...]:
    places: list[int | None] = [None] * len(schedule.played)
    for index, token in holder.items():
        event = schedule.events[index]
        if event.kind is EventKind.MELODY:
            places[event.played] = token
    return tuple(places)
