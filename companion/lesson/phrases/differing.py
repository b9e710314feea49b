"""What differs between a phrase and the one that it is made from: which kind of likeness it is, and where, in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from companion.lesson.model.phrases import Likeness, PhraseDifference
from companion.lesson.phrases.alike import Aligned
from companion.lesson.phrases.bars_alike import RankedBars
from companion.lesson.phrases.melody import Sound
from companion.score.model import MelodyNote, Tune
from fingering.embellishments import Family, recognise
from fingering.notes import Note

NOTHING = "nothing"
_NAMED_BY_NOTE = frozenset({Family.DOUBLING, Family.HALF_DOUBLING, Family.THUMB_DOUBLING, Family.THROW})
MOST_EMBELLISHED = 2
"""Notes on end that are told with their embellishments; of more the melody alone, which is enough to hear them by."""
FEW = 3
"""As many notes may differ in its last bar for a phrase to be the same but for a few notes; more are another ending,
which may be led to by one other note before it."""


@dataclass(frozen=True, slots=True)
class _Place:
    """A place where two phrases differ: the bar (its rank in the phrase), the notes, and what they are."""

    bar: int
    aligned: Aligned
    here: Sound | None
    there: Sound | None
    late: bool

    @property
    def melody(self) -> bool:
        return self.here is None or self.there is None or self.here.note is not self.there.note

    @property
    def length(self) -> bool:
        return self.here is not None and self.there is not None and self.here.duration != self.there.duration


def compare(tune: Tune, bars: RankedBars, here: range, there: range) -> tuple[Likeness, tuple[PhraseDifference, ...]]:
    """What two phrases have in common, and where they differ. here, there: their bars without pick-ups, as many."""
    places = list(_places(bars, here, there))
    return _likeness(places, len(here)), tuple(_told(tune, here, there, places))


def _places(bars: RankedBars, here: range, there: range) -> Iterator[_Place]:
    melodies = bars.likenesses.melodies
    contents = bars.content(here.start, here.stop), bars.content(there.start, there.stop)
    for rank, (ours, theirs) in enumerate(zip(*contents, strict=True)):
        if ours == theirs:
            continue
        for aligned in bars.likenesses.alignment(ours, theirs):
            our = None if aligned.here is None else melodies[ours].sounds[aligned.here]
            their = None if aligned.there is None else melodies[theirs].sounds[aligned.there]
            if our is None or their is None or our._replace(on_beat=True) != their._replace(on_beat=True):
                ours_late = aligned.here is not None and aligned.here >= melodies[ours].half
                theirs_late = aligned.there is not None and aligned.there >= melodies[theirs].half
                yield _Place(rank, aligned, our, their, ours_late or theirs_late)


def _likeness(places: Sequence[_Place], count: int) -> Likeness:
    if not places:
        return Likeness.SAME
    if not any(place.melody or place.length for place in places):
        return Likeness.OTHER_GRACENOTES
    if not any(place.melody for place in places):
        return Likeness.OTHER_POINTING
    telling = [place for place in places if place.melody or place.length]
    last = [place for place in telling if place.bar == count - 1]
    before = len(telling) - len(last)
    if not before and all(place.late for place in last):
        return Likeness.OTHER_ENDING
    many = count > 1 and before <= 1 and sum(place.melody for place in last) > FEW
    return Likeness.OTHER_ENDING if many else Likeness.FEW_NOTES


def _told(tune: Tune, here: range, there: range, places: Sequence[_Place]) -> Iterator[PhraseDifference]:
    """One difference for each run of neighbouring places in a bar."""
    for bar, in_bar in groupby(places, key=lambda place: place.bar):
        for run in _runs(list(in_bar)):
            ours = [tune.bars[here[bar]].notes[place.aligned.here] for place in run if place.aligned.here is not None]
            theirs = [
                tune.bars[there[bar]].notes[place.aligned.there] for place in run if place.aligned.there is not None
            ]
            numbers = tune.bars[here[bar]].number, tune.bars[there[bar]].number
            yield PhraseDifference(*numbers, *_words(tune.notes, run, ours, theirs), _ranks(ours, theirs))


def _runs(places: Sequence[_Place]) -> Iterator[list[_Place]]:
    run: list[_Place] = []
    for place in places:
        if run and not _follows(run[-1].aligned, place.aligned):
            yield run
            run = []
        run.append(place)
    if run:
        yield run


def _follows(before: Aligned, after: Aligned) -> bool:
    pairs = ((before.here, after.here), (before.there, after.there))
    return all(left is None or right is None or right == left + 1 for left, right in pairs)


def _ranks(ours: Sequence[MelodyNote], theirs: Sequence[MelodyNote]) -> tuple[int, ...]:
    return tuple(sorted(note.rank for note in (*ours, *theirs)))


def _words(
    notes: Sequence[MelodyNote], run: Sequence[_Place], ours: Sequence[MelodyNote], theirs: Sequence[MelodyNote]
) -> tuple[str, str]:
    """What each phrase has there: notes and their embellishments; lengths too where nothing else tells them apart."""
    if max(len(ours), len(theirs)) > MOST_EMBELLISHED:
        here, there = (", ".join(_pitch(note.note) for note in each) or NOTHING for each in (ours, theirs))
    else:
        here, there = (", ".join(_note(notes, note) for note in each) or NOTHING for each in (ours, theirs))
    if here != there:
        return here, there
    lengths = [place.length for place in run]
    if any(lengths):
        here, there = (
            ", ".join(_with_length(notes, a, b) for a, b in zip(first, second, strict=True))
            for first, second in ((ours, theirs), (theirs, ours))
        )
    else:
        here, there = (", ".join(map(_letters, each)) for each in (ours, theirs))
    return here, there


def _with_length(notes: Sequence[MelodyNote], note: MelodyNote, other: MelodyNote) -> str:
    if note.duration == other.duration:
        return _note(notes, note)
    return f"{'longer' if note.duration > other.duration else 'shorter'} {_note(notes, note)}"


def _letters(note: MelodyNote) -> str:
    graces = "".join(grace.letter for grace in note.gracenotes)
    return f"{_pitch(note.note)} with gracenotes {graces}" if graces else _pitch(note.note)


def _note(notes: Sequence[MelodyNote], note: MelodyNote) -> str:
    if note.note is None or not note.gracenotes:
        return _pitch(note.note)
    before = notes[note.rank - 1].note if note.rank else None
    found = recognise(note.gracenotes, onto=note.note, before=before)
    if found.family is Family.UNNAMED:
        return _letters(note)
    named = found.family in _NAMED_BY_NOTE and note.note.label in found.name
    return found.name if named else f"{found.name} on {note.note.label}"


def _pitch(note: Note | None) -> str:
    return "a rest" if note is None else note.label
