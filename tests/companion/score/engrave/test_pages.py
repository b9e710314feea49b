"""Pages read back: every note, gracenote, bar line, repeat and ending of a tune stands on them, as pipers write it."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings

from companion.score.abc import read_abc, read_abc_text
from companion.score.engrave.pages import Engraving, engrave
from companion.score.engrave.paper import LETTER
from companion.score.engrave.single.line import SPACE
from companion.score.engrave.style import KeySignature, StaffStyle, TitlePlace
from companion.score.model import Tune
from companion.score.staff.model import StaffBeam, StaffTuplet
from companion.score.staff.spell import staff_of
from fingering.errors import UserError
from tests.companion.score.engrave.drawing import NUMBER, Drawing, head, stem
from tests.companion.score.generated import tunes

pytestmark = pytest.mark.same_everywhere

OURS = sorted((Path(__file__).parents[4] / "tunes").glob("*.abc"))
WILD = sorted((Path(__file__).parents[1] / "wild").glob("*.abc"))


@cache
def tunes_of(path: Path) -> tuple[Tune, ...]:
    """The tunes of a file."""
    return read_abc(path).tunes


@cache
def engraved(path: Path) -> Engraving:
    """The first tune of a file on paper."""
    return engrave(tunes_of(path)[0])


def drawing_of(tune: Tune) -> Drawing:
    """A tune on paper, to be read back."""
    return Drawing(engrave(tune).pages)


def assert_all_there(tune: Tune, drawing: Drawing) -> None:
    """Every bar, note, gracenote, repeat and ending of a tune is drawn, once."""
    staff = staff_of(tune)
    notes = [note for bar in staff for note in bar.notes]
    assert drawing.ids("measure", "b") == [bar.id for bar in staff]
    assert sorted(drawing.ids("note", "n")) == sorted(note.id for note in notes if note.note is not None)
    assert sorted(drawing.ids("note", "g")) == sorted(grace.id for note in notes for grace in note.graces)
    signs = [bar.signs for bar in tune.bars]
    assert drawing.repeat_dots() == sum(bool(each.opens) for each in signs) + sum(bool(each.closes) for each in signs)
    endings = {element.get("id") for element in drawing.each("ending")}
    assert len(endings) >= sum(bool(each.ending) for each in signs)
    assert (not endings) == (not any(each.ending for each in signs))


@pytest.mark.parametrize("path", OURS, ids=lambda path: path.stem)
def test_nothing_of_our_tunes_is_missing(path: Path) -> None:
    """Every tune of ours is drawn whole, and its title and composer are written over it."""
    for tune in tunes_of(path)[:3]:
        drawing = drawing_of(tune)
        assert_all_there(tune, drawing)
        assert tune.title in drawing.words()
        assert tune.composer in drawing.words()


@given(tunes())
@settings(max_examples=25, deadline=None)
def test_nothing_of_any_tune_is_missing(abc: str) -> None:
    """Every tune that can be made up of parts, repeats, endings, ties, tuplets and gracenotes is drawn whole."""
    (tune,) = read_abc_text(abc).tunes
    assert_all_there(tune, drawing_of(tune))


def test_nothing_of_what_people_write_is_missing() -> None:
    """Every file that people write in their own ways is drawn whole."""
    for path in WILD:
        try:
            tunes = tunes_of(path)
        except UserError:
            continue
        for tune in tunes[:1]:
            assert_all_there(tune, drawing_of(tune))


@pytest.mark.parametrize("path", OURS, ids=lambda path: path.stem)
def test_melody_stems_go_down_and_gracenotes_up(path: Path) -> None:
    """Melody notes have their stems down, gracenotes up, and gracenotes are smaller (ABC 2.1 section 3.1.14)."""
    drawing = Drawing(engraved(path).pages)
    for name in drawing.ids("note", "n"):
        drawn = stem(drawing.of_id(name))
        assert drawn is None or drawn.down, name
    for name in drawing.ids("note", "g"):
        drawn = stem(drawing.of_id(name))
        assert drawn is not None
        assert not drawn.down, name


@pytest.mark.parametrize("path", OURS, ids=lambda path: path.stem)
def test_gracenotes_of_a_group_are_beamed_and_stand_before_their_note(path: Path) -> None:
    """Several gracenotes share three beams, a single one has a flag; all stand left of their note, in order."""
    tune = tunes_of(path)[0]
    drawing = Drawing(engraved(path).pages)
    groups = [beam for beam in drawing.beams() if all(name.startswith("g") for name in beam)]
    for note in tune.notes:
        names = [f"g{note.rank}-{i}" for i in range(len(note.gracenotes))]
        places = [head(drawing.of_id(name))[0] for name in (*names, f"n{note.rank}")] if names else []
        assert places == sorted(places)
        assert (names in groups) == (len(names) > 1)


@pytest.mark.parametrize("path", OURS, ids=lambda path: path.stem)
def test_melody_beams_are_those_of_the_pulse(path: Path) -> None:
    """Melody notes stand under the beams that the pulse gives them, and under no other."""
    found = [[name for name in beam if name.startswith("n")] for beam in Drawing(engraved(path).pages).beams()]
    asked = []
    for bar in staff_of(tunes_of(path)[0]):
        for item in bar.items:
            for each in item.items if isinstance(item, StaffTuplet) else (item,):
                if isinstance(each, StaffBeam):
                    asked.append([note.id for note in each.notes])
    assert [beam for beam in found if beam] == asked


@pytest.mark.parametrize("path", OURS, ids=lambda path: path.stem)
def test_lines_end_with_phrases(path: Path) -> None:
    """A line begins with a part or a phrase, and every part begins a line."""
    tune, engraving = tunes_of(path)[0], engraved(path)
    lines = Drawing(engraving.pages).lines()
    assert [int(line[0][1:]) for line in lines] == list(engraving.line_starts)
    phrases = {phrase.first for part in tune.parts for phrase in part.phrases}
    parts = {part.first for part in tune.parts}
    assert parts <= set(engraving.line_starts) <= phrases | parts


@pytest.mark.parametrize("path", OURS, ids=lambda path: path.stem)
def test_nothing_leaves_the_page(path: Path) -> None:
    """All notes stand within the margins of their page."""
    for page in engraved(path).pages:
        drawing = Drawing([page])
        (box,) = [each.get("viewBox", "") for each in drawing.each("definition-scale")]
        width, height = map(float, box.split()[2:])
        for name in (*drawing.ids("note", "n"), *drawing.ids("note", "g")):
            x, y = head(drawing.of_id(name))
            assert 0 < x < width
            assert 0 < y < height


def test_a_long_tune_goes_on_on_further_pages() -> None:
    """What one page cannot hold stands on the next, and nothing is lost between them."""
    (drill, *_) = tunes_of(Path(OURS[0].parent / "drills.abc"))
    pages = engrave(drill).pages
    assert len(pages) > 1
    assert all(Drawing([page]).ids("note", "n") for page in pages)


def test_the_key_signature_is_a_choice() -> None:
    """Two sharps are printed, or none; what sounds is the same."""
    tune = tunes_of(OURS[0])[0]
    with_sharps = Drawing(engrave(tune, StaffStyle(key_signature=KeySignature.SHARPS)).pages)
    without = Drawing(engrave(tune, StaffStyle(key_signature=KeySignature.NONE)).pages)
    lines = len(with_sharps.lines())
    assert sum(1 for _ in with_sharps.each("keyAccid")) == 2 * lines
    assert not list(without.each("keyAccid"))
    assert not [accidental for accidental in without.each("accid") if len(accidental)]


def test_the_title_is_left_centred_or_none() -> None:
    """The title stands in the middle, at the left, or is left out."""
    tune = tunes_of(OURS[0])[0]
    words = {place: Drawing(engrave(tune, StaffStyle(title=place)).pages).words() for place in TitlePlace}
    assert tune.title in words[TitlePlace.CENTRE]
    assert tune.title in words[TitlePlace.LEFT]
    assert tune.title not in words[TitlePlace.NONE]


def test_letter_paper_is_wider_and_lower() -> None:
    """The page has the shape of its paper (A4: ISO 216; Letter: ANSI/ASME Y14.1)."""
    tune = tunes_of(OURS[0])[0]

    def shape(engraving: Engraving) -> float:
        (box,) = [each.get("viewBox", "") for each in Drawing(engraving.pages).each("definition-scale")]
        width, height = map(float, box.split()[2:])
        return height / width

    assert shape(engrave(tune)) == pytest.approx(297 / 210, rel=0.002)
    assert shape(engrave(tune, paper=LETTER)) == pytest.approx(11 / 8.5, rel=0.002)


def test_a_long_part_label_begins_where_its_line_does() -> None:
    """Within the staff's width, however long it is, and apart from the tempo."""
    text = "X:1\nT:T\nM:4/4\nL:1/8\nK:HP\nA8|B8|\nP:Crunluath a mach\nQ:1/4=60\nc8|d8|]\n"
    drawing = Drawing([engrave(read_abc_text(text).tunes[0]).pages[0]])
    (label,) = drawing.each("reh")
    (tempo,) = drawing.each("tempo")
    words, figure = (next(each for each in sign if each.tag.endswith("text")) for sign in (label, tempo))
    assert words.get("text-anchor", "start") == "start"
    assert float(words.get("x", "")) >= 0
    assert abs(float(words.get("y", "")) - float(figure.get("y", ""))) > SPACE


@pytest.mark.parametrize("begins", ["|:{g}A4 {gcd}c4|", "{g}A4 {gcd}c4|", "|:{gcd}c4 A4|"])
def test_a_tempo_and_the_first_gracenote_keep_apart(begins: str) -> None:
    """The figure ends half a staff's space before the gracenote's head, or stands above its stem and flags."""
    (tune,) = read_abc_text(f"X:1\nT:T\nM:4/4\nL:1/8\nQ:1/4=80\nK:HP\n{begins * 4}\n").tunes
    drawing = Drawing([engrave(tune).pages[0]])
    (tempo,) = drawing.each("tempo")
    text = next(each for each in tempo if each.tag.endswith("text"))
    size = next(float(each.get("font-size", "")[:-2]) for each in text.iter() if each.get("font-size", "0px") != "0px")
    ends = float(text.get("x", "")) + 1.84 * size  # "= 80" in Source Serif Pro Bold, by its horizontal metrics
    path = next(each for each in next(drawing.each("stem")) if each.tag.endswith("path"))
    x, _, _, top = (float(each) for each in NUMBER.findall(path.get("d", "")))
    left = x - SPACE  # the head is left of its stem, and less than a space wide
    assert ends + SPACE / 4 < left or float(text.get("y", "")) < top - SPACE / 4


def test_a_tempo_is_written_with_its_note() -> None:
    """The figure of a tempo stands beside a note that is drawn, so that no font is needed for it."""
    (tune,) = read_abc_text("X:1\nT:T\nM:6/8\nL:1/8\nQ:3/8=63\nK:HP\nA3 B3|\n").tunes
    page = engrave(tune).pages[0]
    words = Drawing([page]).words()
    assert "= 63" in words
    assert "♩" not in words
    (tempo,) = Drawing([page]).each("tempo")
    assert [each.tag.rpartition("}")[2] for each in tempo][:3] == ["ellipse", "path", "circle"]
