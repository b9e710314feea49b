"""`notate_heard`: what was heard of a chanter in a sound becomes a tune on paper, with what is unsure in both."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from companion.hearing.heard import HeardNote, HeardSound
from companion.hearing.notes.cuts import LONGEST_GRACENOTE_S, sounding_on
from companion.hearing.notes.joining import TOUCHING_S
from companion.notate.doubts import Doubt, DoubtKind
from companion.notate.notating import NOTHING_GIVEN, Given, NotatedTune, notate_notes
from companion.notate.pulse.readings import STOPS_S
from companion.notate.pulse.sounds import SHORTEST_S, MaybeSounding, SoundingNote
from fingering.notes import Note

SWALLOWED = 0.35
"""How likely an echo or drones swallow the G gracenote that an embellishment begins with."""

SHORTEST_STOP_S = 0.2
"""In an echo a note is not begun anew by a shorter gap: nobody takes breath so fast, and a room fills a stop with what
sounded before. From memory, no source."""

LONGEST_ALONE_S = 0.5
"""A choice, no source: last notes are held longer."""

LEFT_ALONE = "a short note before the tune or after it, with a stop between, is not written"

NOT_FINE = "an echo, drones or noise cover gracenotes: those that are written may be too few or too many"


def notate_heard(
    heard: HeardSound, given: Given = NOTHING_GIVEN, *, title: str = "", remarks: tuple[str, ...] = ()
) -> NotatedTune:
    """Write down what was heard: return it as a tune, with what is unsure in it, what the hearing is unsure of too.

    remarks: what the tune is headed with as N:. Raises UserError as `companion.notate.notating.notate` does.
    """
    found = notate_notes(heard_sounds(heard), given, title=title, remarks=remarks)
    said = [each.value for each in heard.troubles] or ([] if heard.fine else [NOT_FINE])
    said += [LEFT_ALONE] if _alone(_whole(heard)) else []
    whole = tuple(Doubt(DoubtKind.SOUND, found.tune.bars[0].number, 0, 0, words) for words in said)
    return replace(found, doubts=(*whole, *found.doubts))


def heard_sounds(heard: HeardSound) -> tuple[SoundingNote, ...]:
    """Return the notes that were heard as what sounded, each with how sure it is and what may have sounded in it."""
    return tuple(_sounds(heard))


def _sounds(heard: HeardSound) -> Iterator[SoundingNote]:
    whole = _whole(heard)
    alone = _alone(whole)
    notes = [each for each in whole if each not in alone]
    for rank, each in enumerate(notes):
        before = notes[rank - 1] if rank else None
        silence_s = each.at_s - before.stop_s if before else 0.0
        maybe = tuple(
            MaybeSounding(one.note, one.at_s, one.confidence)
            for one in heard.maybe
            if each.at_s <= one.at_s < each.stop_s and one.note is not each.note
        )
        if not heard.fine and _lacks_its_gracenote(notes, rank):
            maybe = (MaybeSounding(Note.HIGH_G, each.at_s, SWALLOWED), *maybe)
        yield SoundingNote(
            each.note,
            each.at_s,
            each.stop_s,
            silence_s if silence_s > TOUCHING_S else 0.0,
            each.confidence,
            each.others,
            maybe,
        )


def _whole(heard: HeardSound) -> list[HeardNote]:
    longest_gap_s = SHORTEST_STOP_S if heard.echo_s else TOUCHING_S
    return sounding_on([each for each in heard.notes if each.length_s >= SHORTEST_S], longest_gap_s)


def _alone(notes: Sequence[HeardNote]) -> tuple[HeardNote, ...]:
    """The first note and the last, where they are short and alone: a chanter stops nowhere in a tune, so that such a
    note was tried before it, or is what was heard of drones that sound alone."""
    found = []
    if len(notes) > 1 and notes[0].length_s < LONGEST_ALONE_S and notes[1].at_s - notes[0].stop_s > STOPS_S:
        found.append(notes[0])
    if len(notes) > 2 and notes[-1].length_s < LONGEST_ALONE_S and notes[-1].at_s - notes[-2].stop_s > STOPS_S:
        found.append(notes[-1])
    return tuple(found)


def _lacks_its_gracenote(notes: Sequence[HeardNote], rank: int) -> bool:
    """Whether an embellishment begins with its own note, as those do whose G gracenote was not heard."""
    if not 0 < rank < len(notes) - 2 or notes[rank].length_s >= LONGEST_GRACENOTE_S:
        return False
    return notes[rank + 2].note is notes[rank].note and Note.HIGH_G not in (notes[rank - 1].note, notes[rank].note)
