"""How runs of F and high G in a room are parted, in a room whose truth is known."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest

from companion.hearing.heard import HeardNote, SureName
from companion.hearing.notes.kept_samples import KeptSamples
from companion.hearing.notes.runs.near_levels import NEAR_NOTES
from companion.hearing.notes.runs.near_parts import parted_by_levels
from companion.hearing.notes.runs.near_runs import RunMeter
from companion.hearing.path import HeardStretch
from fingering.notes import Note
from tests.companion.hearing.notes.runs.near_sound import QUIET_S, chanter, sound

pytestmark = pytest.mark.same_everywhere

CHANTER = chanter()
A, E, F, G = Note.LOW_A, Note.E, Note.F, Note.HIGH_G
Played = Sequence[tuple[Note, float]]
LESSON: Played = [(A, 0.3), (F, 0.45), (G, 0.45), (F, 0.45), (G, 0.45), (A, 0.3), (F, 0.4), (A, 0.3), (G, 0.4)] * 2
"""What teaches how loud each is while it goes on."""


def noted(played: Played) -> list[HeardNote]:
    """Notes as they would be heard, were all heard."""
    out, at_s = list[HeardNote](), QUIET_S
    for note, seconds in played:
        out.append(HeardNote(at_s, at_s + seconds, note))
        at_s += seconds
    return out


def parted(played: Played, heard: Played) -> tuple[list[HeardNote], list[SureName], float]:
    """What is made of a lesson and what was played after it, heard as something else; and when that began."""
    lesson = noted(LESSON)
    notes = noted([*LESSON, *heard])
    kept = KeptSamples(CHANTER.grid)
    kept.take_in(sound(CHANTER, [*LESSON, *played]))
    meter, grid = RunMeter(CHANTER, kept), CHANTER.grid
    for each in notes:
        if each.note in NEAR_NOTES:
            meter.go_on(HeardStretch(each.note, grid.first_frame(each.at_s), grid.first_frame(each.stop_s)))
        else:
            meter.end()
    found, sure = parted_by_levels(notes, meter.found, CHANTER)
    begins_s = lesson[-1].stop_s
    after = [each for each in found if each.at_s > begins_s - 1e-6]
    return after, [each for each in sure if each.heard.at_s > begins_s - 1e-6], begins_s


def letters(notes: Sequence[HeardNote]) -> str:
    """The names of notes in a row."""
    return "".join(each.note.letter for each in notes)


def test_what_was_heard_rightly_is_left_as_it_was() -> None:
    """Every edge of it."""
    played = [(A, 0.3), (F, 0.3), (G, 0.05), (F, 0.4), (A, 0.3)]
    found, _, begins_s = parted(played, played)
    expected = noted(played)
    assert letters(found) == "AfgfA"
    assert [each.at_s - begins_s for each in found] == pytest.approx([each.at_s - QUIET_S for each in expected])


def test_a_high_g_within_an_f_is_found_that_was_not_heard() -> None:
    """Where another's echo hid it."""
    played = [(A, 0.3), (G, 0.05), (F, 0.06), (G, 0.05), (F, 0.4), (A, 0.3)]
    found, _, begins_s = parted(played, [(A, 0.3), (G, 0.05), (F, 0.51), (A, 0.3)])
    assert letters(found) == "AgfgfA"
    assert found[3].at_s - begins_s == pytest.approx(0.41, abs=0.012)
    assert found[3].length_s == pytest.approx(0.05, abs=0.015)
    assert found[3].by_pitch


def test_what_was_heard_twice_and_was_one_note_is_one() -> None:
    """A high G that was heard in the middle of an F, where nothing began."""
    heard = [(A, 0.3), (G, 0.05), (F, 0.15), (G, 0.04), (F, 0.26), (A, 0.3)]
    found, _, _ = parted([(A, 0.3), (G, 0.05), (F, 0.45), (A, 0.3)], heard)
    assert letters(found) == "AgfA"
    assert found[2].length_s == pytest.approx(0.45, abs=0.02)


def test_an_f_after_its_gracenote_is_surely_no_high_g() -> None:
    """From 60 ms after that on, while the echo of that still sounds; but not where there was another."""
    alone = [(A, 0.3), (G, 0.05), (F, 0.45), (A, 0.3)]
    _, sure, begins_s = parted(alone, alone)
    assert all(each.heard.note is F and each.no_other == {G} for each in sure)
    spans = [(each.heard.at_s - begins_s, each.heard.stop_s - begins_s) for each in sure]
    assert any(begin < 0.42 and stop > 0.6 for begin, stop in spans)
    again = [(A, 0.3), (G, 0.05), (F, 0.06), (G, 0.05), (F, 0.34), (A, 0.3)]
    _, sure, begins_s = parted(again, again)
    assert not any(each.heard.at_s - begins_s < 0.43 < each.heard.stop_s - begins_s for each in sure)


def test_a_short_high_g_before_another_note_is_left_alone() -> None:
    """Played on a low note it lies nearer to F than the one of the chart."""
    heard = [(A, 0.3), (F, 0.3), (G, 0.05), (E, 0.3)]
    found, _, _ = parted([(A, 0.3), (F, 0.35), (E, 0.3)], heard)
    assert letters(found) == "Afge"


def test_where_no_room_echoes_or_too_little_is_known_nothing_is_done() -> None:
    """The notes come back, and none is surer."""
    notes = noted([(A, 0.3), (F, 0.3), (G, 0.05), (F, 0.4)])
    assert parted_by_levels(notes, [], replace(CHANTER, echo=None)) == (tuple(notes), ())
    assert parted_by_levels(notes, [], CHANTER) == (tuple(notes), ())
