"""From what happened to findings: what each fact means to a teacher."""

from __future__ import annotations

from companion.listen.find.extra.slip_findings import slip_finding
from companion.listen.find.gracenotes.graces import group_findings
from companion.listen.find.place.facts import (
    AfterLast,
    BegunAgain,
    BegunElsewhere,
    Between,
    Fact,
    MelodyHeard,
    NoteAgain,
    NoteMissed,
    NoteSounded,
    Skipped,
    Stopped,
    WrongAfterGracenote,
)
from companion.listen.find.place.leaps import Hesitated, begun_again, note_again, skipped
from companion.listen.model.asked import Asked
from companion.listen.model.findings import Finding, FindingKind, finding_at
from companion.listen.model.segments import Segment
from companion.listen.model.strictness import Limits
from companion.listen.model.words import bar_words, grace_name, seconds_words
from companion.schedule.events import Event
from fingering.chart import chart


def findings_of(asked: Asked, limits: Limits, fact: Fact, hesitated: Hesitated) -> list[Finding]:
    """Return what there is to say of a fact, in order; `hesitated` tells where someone really began again."""
    match fact:
        case Between(played=played, slips=slips) | AfterLast(played=played, slips=slips):
            return [slip_finding(asked, limits, slip, played) for slip in slips]
        case MelodyHeard():
            found = group_findings(asked, limits, fact.group, fact.segment, due_s=fact.due_s)
            is_wrong = fact.begins and fact.segment.note is not fact.event.note
            return [*found, wrong_note(asked, fact.event, fact.segment)] if is_wrong else found
        case NoteSounded() | BegunElsewhere():
            return []
        case Stopped():
            return [] if fact.played is None else [_break(asked, fact.segment, fact.played)]
        case BegunAgain():
            return [begun_again(asked, fact, hesitated)]
        case NoteAgain():
            return [note_again(asked, fact.played, fact.segment.onset_s)]
        case Skipped():
            return [skipped(asked, fact)]
        case NoteMissed():
            return [_missing_note(asked, fact)]
        case WrongAfterGracenote():
            return [wrong_note(asked, fact.event, fact.segment)]


def _break(asked: Asked, after: Segment, played: int) -> Finding:
    """Return the finding for a silence before a note where none was due."""
    lasted_ms = after.silence_s * 1000.0
    text = f"{bar_words(asked, played)}: the sound stopped for {seconds_words(lasted_ms)}."
    at_s = after.onset_s - after.silence_s
    return finding_at(asked, played, FindingKind.BREAK, at_s=at_s, ms=lasted_ms, text=text, cause="break")


def _missing_note(asked: Asked, missed: NoteMissed) -> Finding:
    event, held = missed.event, missed.held
    what = f"{event.note.label} was left out" if held is None else f"{held.label} was held through {event.note.label}"
    return finding_at(
        asked,
        event.played,
        FindingKind.MISSING_NOTE,
        at_s=missed.at_s,
        wanted=event.note.letter,
        text=f"{bar_words(asked, event.played)}: {what}{', which did not sound' if held else ''}.",
        cause=(FindingKind.MISSING_NOTE, event.played),
    )


def wrong_note(asked: Asked, event: Event, segment: Segment) -> Finding:
    """Return that another note was heard than the melody note asked for."""
    heard = segment.note
    what = f"{heard.label} was played where {event.note.label} is asked"
    # Had the gracenote been played as well, the two would have been one sound.
    if asked.played(event.played).note.gracenotes[-1:] == (heard,):
        what = f"{grace_name(heard)} was held on, and {event.note.label} did not sound"
    return finding_at(
        asked,
        event.played,
        FindingKind.WRONG_NOTE,
        at_s=segment.onset_s,
        wanted=event.note.letter,
        heard=heard.letter,
        fingers=chart(event.note).moves_to(chart(heard)),
        text=f"{bar_words(asked, event.played)}: {what}.",
        cause=(FindingKind.WRONG_NOTE, event.note, heard),
    )
