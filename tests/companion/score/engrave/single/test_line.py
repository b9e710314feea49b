"""One line of staff: what stands on it, and where its notes are in the drawing."""

from __future__ import annotations

from itertools import pairwise
from xml.etree.ElementTree import fromstring

import pytest

from companion.score.abc import read_abc_text
from companion.score.engrave.single.coloured import coloured
from companion.score.engrave.single.line import LineDrawing, engrave_line
from companion.score.engrave.single.mei_line import mei_of_line
from companion.score.model import Tune
from companion.score.staff.model import grace_id, note_id
from companion.score.staff.spell import staff_of
from companion.window.staff.staff_line import ABOVE_SPACES, BELOW_SPACES
from fingering.notes import Note

HEAD = "X:1\nT:Ours\nM:4/4\nL:1/8\nK:HP\n"
TUNE = f"{HEAD}A2|:{{gef}}e2 {{ag}}a2 {{Gdc}}d2 {{GdGeAfA}}e2-|e4 e2 z2|1 {{gBd}}B4 G4:|2 {{gBd}}B4 A4|]\n"
ROOM = 150.0
LINES_DOWN = {Note.HIGH_A: -1.0, Note.HIGH_G: -0.5, Note.F: 0.0, Note.E: 0.5, Note.D: 1.0, Note.C: 1.5, Note.B: 2.0,
              Note.LOW_A: 2.5, Note.LOW_G: 3.0}  # fmt: skip
"""How far below the topmost line of a staff with a G clef a note stands, in spaces: common practice, no source."""


def tune(text: str = TUNE) -> Tune:
    """A tune of a line or two."""
    return read_abc_text(text).tunes[0]


def line(first: int = 0, stop: int = 5, room: float = ROOM) -> LineDrawing:
    """Some of its bars."""
    return engrave_line(tune(), first, stop, room)


def test_each_note_and_gracenote_stands_there_in_order() -> None:
    """By its id, from left to right; a note that is tied over a bar line has a head in both bars."""
    wanted = []
    for note in tune().notes:
        wanted += [grace_id(note.rank, i) for i in range(len(note.gracenotes))]
        wanted += [note_id(note.rank), note_id(note.rank, 1)] if note.rank == 4 else [note_id(note.rank)]
    assert [head.id for head in line().heads] == wanted


def test_heads_stand_on_the_lines_of_their_notes() -> None:
    """Each of the nine, as a melody note and as a gracenote."""
    places = {head.id: head for head in line().heads}
    for note in tune().notes:
        if note.note is None:
            continue
        assert places[note_id(note.rank)].y == pytest.approx(LINES_DOWN[note.note], abs=0.01)
        for i, grace in enumerate(note.gracenotes):
            assert places[grace_id(note.rank, i)].y == pytest.approx(LINES_DOWN[grace], abs=0.01)


def test_gracenotes_are_smaller_and_no_two_heads_meet() -> None:
    """By two thirds, as in print."""
    heads = line().heads
    assert {round(head.height, 2) for head in heads if head.id.startswith("g")} == {0.66}
    assert all(one.x + one.width <= other.x + 0.01 for one, other in pairwise(heads))


@pytest.mark.parametrize("room", [120.0, 150.0, 200.0])
def test_it_fills_its_room(room: float) -> None:
    """From the left to the right."""
    assert line(room=room).width == pytest.approx(room, abs=0.1)


def test_where_it_has_no_room_it_is_wider_and_still_one_line() -> None:
    """Whoever draws it makes it smaller."""
    narrow = line(room=30.0)
    assert narrow.width > 60.0
    assert [head.id for head in narrow.heads] == [head.id for head in line().heads]


def test_what_is_kept_free_above_and_below_is_enough() -> None:
    """For a beam over a gracenote on high A and for the stem of low G; an ending's bracket takes more."""
    plain, ended = line(0, 3), line(3, 5)
    assert 3.5 < plain.above <= ABOVE_SPACES < ended.above
    assert max(plain.below, ended.below) <= BELOW_SPACES


def test_the_metre_stands_where_the_tune_begins_or_it_changes() -> None:
    """As in print; on other lines clef and key stand alone."""
    changing = tune(f"{HEAD}A2 B2 c2 d2|A2 B2 c2 d2|[M:6/8]A3 B3|]\n")
    bars = staff_of(changing)
    shown = ["meter.count" in mei_of_line(changing, bars[at : at + 1]) for at in range(3)]
    assert shown == [True, False, True]


def test_chords_words_and_part_letters_are_left_out() -> None:
    """The screen says where one is; the signs on notes stay."""
    marked = tune(f'{HEAD}P:A\n"D""^slowly"A2 HB2 c2 d2|"A"A2 B2 c2 d2!D.C.!|]\n')
    mei = mei_of_line(marked, staff_of(marked))
    assert not [tag for tag in ("<harm", "<dir", "<reh", "<tempo") if tag in mei]
    assert "<fermata" in mei


def test_a_drawing_of_so_many_pixels_has_its_lines_on_whole_ones() -> None:
    """Its staff lines in one colour, all else in the other, and nothing that Verovio hides."""
    for space, above in ((6, 25), (8, 34), (13, 55)):
        picture = fromstring(coloured(line(), space, above, 12 * space, "#f00", "#0f0"))
        assert (picture.get("width"), picture.get("height")) == (str(round(ROOM * space)), str(12 * space))
        left, top, *_ = map(float, picture.get("viewBox", "").split())
        lines = [each for each in picture.iter() if each.get("stroke") == "#f00"]
        assert len(lines) == 5 * 5  # five lines in each of five bars
        for each in lines:
            y = (float(each.get("d", "").split()[1]) - top) * space / 180.0
            assert (y - 0.5) % 1.0 == pytest.approx(0.0, abs=0.01) or (y - 0.5) % 1.0 == pytest.approx(1.0, abs=0.01)
        assert left == 0.0
        assert not [each for each in picture.iter() if "placeholder" in each.get("class", "")]
