"""What findings say to people: one plain sentence each, and the names of places in a tune."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Sequence
from fractions import Fraction

from companion.listen.model.asked import Asked
from fingering.embellishments import Embellishment, Family
from fingering.holes import Finger
from fingering.notes import Note


def finger_words(finger: Finger) -> str:
    """ "the thumb", "the upper ring finger"."""
    return "the thumb" if finger is Finger.THUMB else f"the {finger.label} finger"


_COUNTS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")


def count_words(count: int) -> str:
    """A number as it is read aloud: "three", "twelve", "13"."""
    return _COUNTS[count] if count < len(_COUNTS) else str(count)


def times_words(count: int) -> str:
    """ "once", "twice", "five times"."""
    return {1: "once", 2: "twice"}.get(count, f"{count_words(count)} times")


def listed(names: Sequence[str]) -> str:
    """ "B", "B and C", "B, C and D"."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def seconds_words(length_ms: float) -> str:
    """ "40 ms", and from a second on "1.1 s"."""
    return f"{length_ms:.0f} ms" if length_ms < 1000.0 else f"{length_ms / 1000.0:.1f} s"


def span_words(lengths_ms: Collection[float]) -> str:
    """ "83 to 109 ms", "0.8 to 1.1 s", or the one length where they hardly differ."""
    least, most = min(lengths_ms), max(lengths_ms)
    if seconds_words(least) == seconds_words(most):
        return seconds_words(most)
    if most < 1000.0:
        return f"{least:.0f} to {most:.0f} ms"
    return f"{least / 1000.0:.1f} to {most / 1000.0:.1f} s"


_BEATS = {
    Fraction(1, 2): "minims",
    Fraction(3, 4): "dotted minims",
    Fraction(1, 4): "crotchets",
    Fraction(3, 8): "dotted crotchets",
    Fraction(1, 8): "quavers",
    Fraction(3, 16): "dotted quavers",
}


def beat_words(beat: Fraction) -> str:
    """What is counted, in shares of a whole note: "crotchets", "dotted crotchets"."""
    return _BEATS.get(beat, "beats")


def letters(notes: Sequence[Note]) -> str:
    """The notes as ABC letters, in a row."""
    return "".join(note.letter for note in notes)


def named(notes: Sequence[Note]) -> str:
    """The notes by name, for a sentence: "low A", "low A and B", "two low Gs and B"."""
    counts = Counter(note.label for note in notes)
    return listed([label if count == 1 else f"{count_words(count)} {label}s" for label, count in counts.items()])


def grace_name(note: Note) -> str:
    """ "the D gracenote", "the high A gracenote"; a pipers' G gracenote is the high one."""
    return "the G gracenote" if note is Note.HIGH_G else f"the {note.label} gracenote"


def a_gracenote(note: Note) -> str:
    """ "a D gracenote", "an F gracenote"."""
    name = grace_name(note).removeprefix("the ")
    return f"{'an' if name[0] in 'EF' else 'a'} {name}"


def embellishment_name(embellishment: Embellishment) -> str:
    """The embellishment's own name with its article; an unnamed one by its letters."""
    if embellishment.family is Family.UNNAMED:
        return f"the gracenotes {letters(embellishment.gracenotes)}"
    return f"the {embellishment.name}"


def place_of(asked: Asked, played: int) -> str:
    """A spot as a learner would call it: "the D doubling", "the G gracenote on B", or just "E"."""
    melody = asked.played(played).note
    embellishment = asked.schedule.embellishments[played]
    target = melody.note.label if melody.note is not None else "the note"
    if embellishment is None:
        return target
    if len(embellishment.gracenotes) == 1:
        return f"{grace_name(embellishment.gracenotes[0])} on {target}"
    name = embellishment_name(embellishment).replace("the G gracenote ", "the ")
    return name if target in name.split(" ") or f" {target}" in name else f"{name} on {target}"


def place_to_play(asked: Asked, played: int) -> str:
    """A spot (see `place_of`) as something to be played: "B with its G gracenote", "the strike on C with its G
    gracenote"."""
    embellishment = asked.schedule.embellishments[played]
    place = place_of(asked, played)
    if embellishment is None:
        return place
    if len(embellishment.gracenotes) == 1:
        grace, _, target = place.partition(" on ")
        return f"{target} with its {grace.removeprefix('the ')}"
    led = embellishment_name(embellishment).startswith("the G gracenote ")
    return f"{place} with its G gracenote" if led else place


def bar_words(asked: Asked, played: int) -> str:
    """ "Bar 3", "Pick-up", and where it comes back "Bar 3, second time"."""
    number, time = asked.played(played).bar.number, _time_round(asked, played)
    bar = f"Bar {number}" if number else "Pick-up"
    return bar if time == 1 else f"{bar}, {ordinal(time)} time"


def bar_phrase(asked: Asked, played: int) -> str:
    """A bar as it is named within a sentence: "bar 3", "the pick-up", "bar 3 the second time"."""
    bar, time = bars_words([asked.played(played).bar.number]), _time_round(asked, played)
    return bar if time == 1 else f"{bar} the {ordinal(time)} time"


def ordinal(rank: int) -> str:
    """ "first", "second", "third", "fourth", "5th"."""
    return {1: "first", 2: "second", 3: "third", 4: "fourth"}.get(rank, f"{rank}th")


def _time_round(asked: Asked, played: int) -> int:
    """How often the bar of a played note has begun by then, counted from 1."""
    here = asked.played(played)
    return len({each.turn for each in asked.schedule.played[: played + 1] if each.bar.number == here.bar.number})


MOST_BARS = 5
"""More bars, or stretches of them, than this are not listed one by one."""


def are_many(numbers: Collection[int]) -> bool:
    """Whether bars are too many to be listed one by one."""
    return len(list(_stretches(sorted({each for each in numbers if each})))) > MOST_BARS


def bars_words(numbers: Collection[int]) -> str:
    """Bars within a sentence: "the pick-up", "bar 3", "bars 2, 4 to 6 and 9"; of many only how many and the first."""
    bars = sorted(set(numbers))
    stretches = list(_stretches([each for each in bars if each]))
    if are_many(bars):
        return f"{len(bars)} bars, beginning with {bars_words(bars[:1])}"
    pick_up = ["the pick-up"] if 0 in bars else []
    if not stretches:
        return pick_up[0]
    word = "bars" if len(bars) - len(pick_up) > 1 else "bar"
    return " and ".join([*pick_up, f"{word} {listed(stretches)}"])


def _stretches(bars: Sequence[int]) -> Iterator[str]:
    """ "3", or "4 to 6" where three and more follow one another."""
    first = 0
    for rank in range(1, len(bars) + 1):
        if rank < len(bars) and bars[rank] == bars[rank - 1] + 1:
            continue
        if rank - first > 2:
            yield f"{bars[first]} to {bars[rank - 1]}"
        else:
            yield from map(str, bars[first:rank])
        first = rank


def melody_label(asked: Asked, played: int) -> str:
    """The melody note's name."""
    note = asked.played(played).note.note
    return note.label if note is not None else "rest"


def previous_note(asked: Asked, played: int) -> Note | None:
    """The melody note before that one in the performance."""
    earlier = (asked.played(index).note.note for index in range(played - 1, -1, -1))
    return next(earlier, None)
