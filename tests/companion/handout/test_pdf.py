"""A hand-out as PDF, read by another program: fonts, words, sizes, pages, links, what it says of itself."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings

from companion.handout.make import embellishments_handout, tunes_handout
from companion.handout.model import Handout, HandoutStyle, TuneExtent
from companion.handout.setting import set_handout
from companion.handout.typesetting import PageFormat
from companion.score.abc import read_abc, read_abc_text
from companion.score.bundled import bundled_files
from companion.score.engrave.paper import A4, LETTER, Paper
from companion.score.model import Tune
from fingering.embellishments import recognise
from fingering.notes import Note
from tests.companion.handout.pdf import ReadPdf
from tests.companion.score.generated import tunes

OURS = [path for path in bundled_files() if path.stem != "drills"]
PLAIN = HandoutStyle()
HOSTILE = '#set page(width: 1pt) $x^2$ [a] @b *c* _d_ "e" \\u{41} /*h*/ ~ <i> & `j`'
SHORT = "X:1\nT:{}\nC:Somebody\nM:4/4\nL:1/8\nK:HP\n{{g}}A2B2c2d2|e2f2e2d2|\n"


SELECTED = (
    *("The Slip in a Squall", "Reel, 76 minims a minute", "The Tarrowick Harbour class", "A B A C D D' A C'"),
    *("taorluath on low A GdGe", "thumb", "Short sittings"),
)


def first_of(path: Path) -> Tune:
    """The first tune of a file."""
    return read_abc(path).tunes[0]


def titled(title: str) -> Tune:
    """A tune of two bars with a title."""
    return read_abc_text(SHORT.format(title)).tunes[0]


def written(folder: Path, handout: Handout, style: HandoutStyle = PLAIN) -> ReadPdf:
    """A hand-out as a file."""
    path = folder / "x.pdf"
    (data,) = set_handout(handout, style, PageFormat.PDF).files
    path.write_bytes(data)
    return ReadPdf(path)


@pytest.fixture(scope="module")
def squall(tmp_path_factory: pytest.TempPathFactory) -> ReadPdf:
    """The hand-out of a tune of ours."""
    tune = first_of(next(path for path in OURS if path.stem == "the-slip-in-a-squall"))
    return written(tmp_path_factory.mktemp("squall"), tunes_handout([tune], PLAIN, ""))


def test_all_fonts_are_ours_and_embedded(squall: ReadPdf) -> None:
    """The engraver's words too are in the project's serif."""
    fonts = squall.fonts()
    assert all(fonts.values())
    assert {name.partition("-")[0] for name in fonts} == {"SourceSerifPro", "SourceSansPro"}


def test_words_can_be_selected(squall: ReadPdf) -> None:
    """Title, composer, kind, tempo, plan, names, gracenotes, and what the engraver wrote among the notes."""
    for words in SELECTED:
        assert words in squall.text(1)
    assert "= 76" in squall.text(2)


def test_other_titles_stand_below_the_first(tmp_path: Path) -> None:
    """Further T: fields are other titles of a tune (ABC 2.1, 3.1.2)."""
    text = written(tmp_path, tunes_handout([titled("One\nT:Two\nT:Three")], PLAIN, "")).text(1)
    assert text.startswith("One Two, Three Somebody")


def test_it_is_a_pdf_for_archives_and_for_reading_aloud(squall: ReadPdf) -> None:
    """It says so (ISO 19005-2 level A, ISO 14289-1), is tagged, and has title and author."""
    metadata = squall.metadata()
    assert "<pdfaid:part>2</pdfaid:part><pdfaid:conformance>A</pdfaid:conformance>" in metadata
    assert "<pdfuaid:part>1</pdfuaid:part>" in metadata
    assert squall.info("Tagged") == "yes"
    assert squall.info("Title") == "The Slip in a Squall"
    assert squall.info("Author") == "The Tarrowick Harbour class"


@pytest.mark.parametrize(("paper", "size"), [(A4, "595.276 x 841.89 pts (A4)"), (LETTER, "612 x 792 pts (letter)")])
@pytest.mark.parametrize("extent", TuneExtent)
def test_pages_have_the_size_of_the_paper(paper: object, size: str, extent: TuneExtent, tmp_path: Path) -> None:
    """A4 is 210 by 297 mm (ISO 216), Letter 8.5 by 11 inches (ANSI/ASME Y14.1), in points of 1/72 inch."""
    style = HandoutStyle(paper=LETTER if paper is LETTER else A4, extent=extent)
    pdf = written(tmp_path, tunes_handout([titled("Mine")], style, ""), style)
    assert pdf.info("Page size") == size
    assert pdf.info("Pages") == ("1" if extent is TuneExtent.WHOLE else "2")


@pytest.mark.parametrize("path", OURS, ids=lambda path: path.stem)
def test_a_two_part_tune_has_two_pages(path: Path) -> None:
    """On either paper; a tune of more parts may have more."""
    tune = first_of(path)
    for paper in (A4, LETTER):
        style = HandoutStyle(paper=paper)
        pages = set_handout(tunes_handout([tune], style, ""), style, PageFormat.SVG).files
        assert len(pages) == 2 or len(tune.parts) > 2


@pytest.mark.same_everywhere
@given(tunes())
@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_any_tune_of_two_parts_has_two_pages(abc: str) -> None:
    """Whatever it is made of; and nothing of it keeps the page from being set."""
    tune = read_abc_text(abc).tunes[0]
    pages = set_handout(tunes_handout([tune], PLAIN, ""), PLAIN, PageFormat.SVG)
    assert pages.missing == ""
    assert len(pages.files) == 2 or len(tune.parts) > 2


def test_what_is_markup_elsewhere_is_words_here(tmp_path: Path) -> None:
    """A title full of the typesetter's own signs comes out as it is."""
    pdf = written(tmp_path, tunes_handout([titled(HOSTILE)], PLAIN, ""))
    assert pdf.info("Title") == HOSTILE
    assert HOSTILE in pdf.text(1)


def test_a_title_from_right_to_left(tmp_path: Path) -> None:
    """Its letters are found in a font that is embedded."""
    pdf = written(tmp_path, tunes_handout([titled("שלום עולם")], PLAIN, ""))
    assert "שלום" in pdf.text(1)
    assert all(pdf.fonts().values())


def test_a_sign_that_has_no_font_is_named() -> None:
    """The pages are set all the same, as no PDF for archives; the sign is Tangut, which hardly any font has."""
    handout = tunes_handout([titled("A \U00017000 tune")], PLAIN, "")
    pages = set_handout(handout, PLAIN, PageFormat.PDF)
    assert pages.missing == "\U00017000"
    (data,) = pages.files
    assert data.startswith(b"%PDF-")
    assert b"pdfaid:part>" not in data


def test_a_book_has_contents_that_lead_to_its_tunes(tmp_path: Path) -> None:
    """Each title with its page, as a link and in the outline; the book's own title and all authors in the metadata."""
    book = [titled("One"), first_of(OURS[0]), titled("Three")]
    pdf = written(tmp_path, tunes_handout(book, PLAIN, "My book"))
    expected = [("One", 2), (book[1].title, 4), ("Three", 6)]
    assert pdf.outline() == expected
    assert pdf.links() == expected
    assert pdf.info("Title") == "My book"
    assert pdf.info("Author") == f"Somebody, {book[1].composer}"
    assert "Short sittings" in pdf.text(7)


@pytest.mark.parametrize("paper", [A4, LETTER])
def test_a_march_of_four_parts_stands_on_one_page(paper: Paper, tmp_path: Path) -> None:
    """Eight lines with gracenotes and endings, closer together than those of a short tune, rather than one overleaf."""
    part = (
        "|:{g}A3B {GdG}c2{g}ce|{g}A2{GdGe}A2 {gcd}c2{g}ec|{gBd}B2{g}e2 {gBd}B2{g}cB|{g}A2{GdGe}A2 {gef}e2{g}ce|\n"
        "{g}A3B {GdG}c2{g}ce|{g}A2{GdGe}A2 {gcd}c2{g}ec|{gBd}B2{g}ce {gBd}B2{g}cB|1{gAd}A4 {g}A4:|2{gAd}A4 {g}A4||\n"
    )
    (tune,) = read_abc_text(f"X:1\nT:Four Parts\nC:Ours\nR:March\nM:2/4\nL:1/16\nQ:1/4=80\nK:HP\n{4 * part}").tunes
    style = HandoutStyle(paper=paper, extent=TuneExtent.WHOLE)
    assert written(tmp_path, tunes_handout([tune], style, ""), style).info("Pages") == "1"


def test_whole_tunes_of_a_book_share_pages(tmp_path: Path) -> None:
    """Short ones stand one below another, none of them cut."""
    style = HandoutStyle(extent=TuneExtent.WHOLE)
    pdf = written(tmp_path, tunes_handout([titled(f"Tune {rank}") for rank in range(8)], style, "Book"), style)
    assert int(pdf.info("Pages")) < 5
    assert [title for title, _ in pdf.outline()] == [f"Tune {rank}" for rank in range(8)]


def test_a_page_of_embellishments(tmp_path: Path) -> None:
    """Each with its name, its gracenotes and how it is played."""
    grip = recognise((Note.LOW_G, Note.D, Note.LOW_G), onto=Note.LOW_A, before=Note.C)
    pdf = written(tmp_path, embellishments_handout([(grip, Note.C)], PLAIN))
    text = pdf.text()
    for words in (grip.full_name, grip.spelling, grip.how_it_is_played, "upper", "lower"):
        assert words in text
