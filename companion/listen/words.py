"""What findings say to people: one plain sentence each, and the names of places in a tune."""

from __future__ import annotations

from collections.abc import Sequence

from companion.listen.asked import Asked
from companion.schedule.events import Kind
from fingering.embellishments import Embellishment, Family
from fingering.holes import Finger
from fingering.notes import Note


def finger_words(finger: Finger) -> str:
    """ "the thumb", "the upper ring finger"."""
    return "the thumb" if finger is Finger.THUMB else f"the {finger.label} finger"


def letters(notes: Sequence[Note]) -> str:
    """The notes as ABC letters, in a row."""
    return "".join(note.letter for note in notes)


def named(notes: Sequence[Note]) -> str:
    """The notes by name, for a sentence: "low A", "low A and B"."""
    names = [note.label for note in notes]
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def grace_name(note: Note) -> str:
    """ "the D gracenote", "the high A gracenote"; a pipers' G gracenote is the high one."""
    return "the G gracenote" if note is Note.HIGH_G else f"the {note.label} gracenote"


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
    name = embellishment_name(embellishment)
    return name if target in name.split(" ") or f" {target}" in name else f"{name} on {target}"


def bar_words(asked: Asked, played: int) -> str:
    """ "Bar 3", or "Pick-up"."""
    number = asked.played(played).bar.number
    return f"Bar {number}" if number else "Pick-up"


def melody_label(asked: Asked, played: int) -> str:
    """The melody note's name."""
    note = asked.played(played).note.note
    return note.label if note is not None else "rest"


def previous_note(asked: Asked, played: int) -> Note | None:
    """The melody note before that one in the performance."""
    earlier = (asked.played(index).note.note for index in range(played - 1, -1, -1))
    return next(earlier, None)


def event_index(asked: Asked, played: int, grace: int | None) -> int | None:
    """The schedule's event of one gracenote, or of the melody note where `grace` is None."""
    for index, event in enumerate(asked.schedule.events):
        if event.played == played and event.grace == grace and event.kind is not Kind.REST:
            return index
    return None
