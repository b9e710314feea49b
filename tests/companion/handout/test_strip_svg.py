"""The strip of an embellishment on paper: eight holes over time, filled where closed, hollow where open."""

from __future__ import annotations

from xml.etree.ElementTree import Element, fromstring

import pytest

from companion.handout.strip_svg import drawn, hands
from companion.lesson.page.strips import LEFT, strip_picture
from fingering.embellishments import catalogue, notes_before
from fingering.holes import Finger
from fingering.notes import Note

pytestmark = pytest.mark.same_everywhere
ENTRIES = [entry for entry in catalogue() if notes_before(entry.kind, entry.embellishment.onto)][::23]


def shapes(svg: str, kind: str) -> list[Element]:
    """Its elements of a kind."""
    return [each for each in fromstring(svg).iter() if each.tag.endswith(f"}}{kind}")]


@pytest.mark.parametrize("entry", ENTRIES, ids=lambda entry: entry.embellishment.full_name)
def test_every_hole_is_drawn_throughout(entry: object) -> None:
    """In each of eight lanes filled and hollow bars follow one another from the first moment to the last."""
    embellishment = entry.embellishment  # type: ignore[attr-defined]
    before = notes_before(entry.kind, embellishment.onto)[0]  # type: ignore[attr-defined]
    picture = strip_picture(embellishment, before)
    boxes = shapes(drawn(picture).svg, "rect")
    assert len(boxes) == len(picture.closed) + len(picture.opened)
    assert {box.get("fill") for box in boxes} <= {"#000", "#fff"}
    lanes = {round(y) for _, y, _, _ in (*picture.closed, *picture.opened)}
    assert len(lanes) == len(Finger)
    for lane in lanes:
        ends = LEFT
        for x, y, width, _ in sorted((*picture.closed, *picture.opened)):
            if round(y) == lane:
                assert x == pytest.approx(ends)
                ends = x + width
        assert ends == pytest.approx(picture.width)


def test_what_sounds_is_written_below_and_the_note_itself_is_bold() -> None:
    """The note before, each gracenote, and the note that they lead onto."""
    entry = next(entry for entry in catalogue() if entry.embellishment.name == "taorluath")
    texts = shapes(drawn(strip_picture(entry.embellishment, Note.C)).svg, "text")
    assert [text.text for text in texts] == ["c", "G", "d", "G", "e", entry.embellishment.onto.letter]
    assert [text.get("font-weight") for text in texts] == [None] * 5 + ["bold"]


def test_the_hands_stand_once_in_front() -> None:
    """They are as high as a strip, lane beside lane."""
    picture = strip_picture(ENTRIES[0].embellishment, notes_before(ENTRIES[0].kind, ENTRIES[0].embellishment.onto)[0])
    assert hands(picture).height == drawn(picture).height
    assert [text.text for text in shapes(hands(picture).svg, "text")] == ["thumb", "upper", "lower"]
