"""A sound is read anew around findings: from a tune's beginning, and no further than it helps."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest

from companion.hearing.heard import HeardNote
from companion.hearing.takes.events import events_of
from companion.hearing.takes.reading.tune_reading import ExpectedReader, ReadSpan
from companion.listen.judgement import Judgement, judge
from fingering.notes import Note
from tests.companion.hearing.takes.said import as_asked, costs_of_notes, counted
from tests.companion.listen.playing import tune_of

pytestmark = pytest.mark.same_everywhere

SHORTEST_S = 0.022
MUSIC = "{g}A2 B2 c2 d2|e2 {d}c2 A2 B2|c2 {g}B2 A2 c2|"


def judged(music: str, notes: Sequence[HeardNote]) -> Judgement:
    """How these notes are judged."""
    return judge(tune_of(music), events_of(notes))


def read(
    music: str, notes: Sequence[HeardNote], truly: Sequence[HeardNote], refused: Sequence[ReadSpan] = ()
) -> tuple[list[HeardNote], list[ReadSpan]]:
    """What was heard, read with the tune in hand, where the sound says that these notes truly sounded."""
    reader = ExpectedReader(counted(costs_of_notes(truly, truly[-1].stop_s + 0.5)), SHORTEST_S)
    return reader.read(notes, judged(music, notes), refused)


def test_the_first_gracenote_of_a_tune_is_read_too() -> None:
    """Heard as D that may be high G, though no note before it was surely heard; not as a D that is sure."""
    asked = as_asked(MUSIC)
    for others, name in ((frozenset({Note.HIGH_G}), Note.HIGH_G), (frozenset[Note](), Note.D)):
        heard = [replace(asked[0], note=Note.D, others=others), *asked[1:]]
        assert judged(MUSIC, heard).findings
        assert [each.note for each in read(MUSIC, heard, asked)[0]] == [name, *(each.note for each in asked[1:])]


def test_where_a_reading_was_refused_the_notes_stay_as_they_were_heard() -> None:
    """Elsewhere they are read."""
    asked = as_asked(MUSIC)
    ranks = [rank for rank, each in enumerate(asked) if each.length_s < 0.1 and rank]
    heard = [replace(each, note=Note.F) if rank in ranks else each for rank, each in enumerate(asked)]
    notes, spans = read(MUSIC, heard, asked)
    assert [each.note for each in notes] == [each.note for each in asked]
    first = next(each for each in spans if each.holds(asked[ranks[0]].at_s))
    notes, spans = read(MUSIC, heard, asked, [first])
    assert first not in spans
    assert [notes[rank].note for rank in ranks] == [Note.F, asked[ranks[1]].note]


def test_a_melody_note_from_which_a_grip_takes_its_time_may_be_as_short_as_a_gracenote() -> None:
    """D of 27 ms, after the noise of a crossing that is a D too, for longer: it is not that one that was asked for."""
    music = "c2 {g}d/{GdG}e3/2 c2 A2|e2 c2 A2 B2|"
    asked = as_asked(music)
    names = [each.note for each in asked[:7]]
    assert names == [Note.C, Note.HIGH_G, Note.D, Note.LOW_G, Note.D, Note.LOW_G, Note.E]
    truly, at_s = [replace(asked[0], stop_s=asked[6].at_s - 0.195)], asked[6].at_s - 0.195
    for name, length_s in zip([Note.D, *names[1:6]], (0.075, 0.0425, 0.0275, 0.0125, 0.02, 0.0175), strict=True):
        truly.append(HeardNote(at_s, at_s + length_s, name))
        at_s += length_s
    truly += asked[6:]
    notes, spans = read(music, truly, truly)
    assert any(each.holds(truly[1].at_s) for each in spans)
    assert [each.note for each in notes] == [each.note for each in truly]
    assert notes[2].length_s == pytest.approx(truly[2].length_s, abs=0.015)
