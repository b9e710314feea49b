"""`eightholes sheet`: which files are written, what is in them, and what is refused."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from xml.etree.ElementTree import fromstring

import pytest

from companion.__main__ import main
from companion.score.abc import read_abc
from companion.score.bundled import bundled_files
from companion.score.engrave.pages import engrave
from tests.companion.commands.program import is_one_line
from tests.companion.score.engrave.drawing import Drawing
from tests.companion.score.engrave.test_pages import assert_all_there

pytestmark = pytest.mark.same_everywhere

MINE = (
    "X:1\nT:Mine\nM:4/4\nL:1/8\nK:HP\n{g}A2B2c2d2|e2f2e2d2|\n\nX:2\nT:Yours\nM:4/4\nL:1/8\nK:HP\nA2{GdG}B2c2d2|e4d4|\n"
)


@pytest.fixture
def mine(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """A file of two tunes in the folder in which the program runs."""
    monkeypatch.chdir(tmp_path)
    Path("mine.abc").write_text(MINE)
    return "mine.abc"


def files_of(capsys: pytest.CaptureFixture[str], *words: str) -> list[Path]:
    """The files that the command says it wrote; nothing else is new."""
    before = set(Path().iterdir())
    assert main(["sheet", *words]) == 0
    said = capsys.readouterr()
    written = [Path(line) for line in said.out.splitlines()]
    assert set(written) == set(Path().iterdir()) - before
    assert said.err == ""
    return written


@pytest.mark.parametrize("path", bundled_files(), ids=lambda path: path.stem)
def test_nothing_of_our_tunes_is_missing_in_the_file(
    path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Notes, gracenotes, bars, repeats and endings are read back out of the pages of the first tune, by their ids."""
    monkeypatch.chdir(tmp_path)
    tune = read_abc(path).tunes[0]
    pages = files_of(capsys, path.stem, "--tune", tune.reference, "--whole", "-o", "x.svg")
    expected = ["x.svg"] if len(pages) == 1 else [f"x-{number}.svg" for number in range(1, len(pages) + 1)]
    assert [str(page) for page in pages] == expected
    texts = [page.read_text(encoding="utf-8") for page in pages]
    assert_all_there(tune, Drawing(texts))
    assert tuple(texts) == engrave(tune).pages


def test_several_pages_have_a_number_each(mine: str, capsys: pytest.CaptureFixture[str]) -> None:
    """A hand-out has two pages; of a PDF it is one file."""
    assert files_of(capsys, mine, "--tune", "1", "-o", "x.svg") == [Path("x-1.svg"), Path("x-2.svg")]
    assert files_of(capsys, mine, "--tune", "1", "-o", "x.png") == [Path("x-1.png"), Path("x-2.png")]
    assert files_of(capsys, mine, "-o", "x.pdf") == [Path("x.pdf")]
    assert Path("x-1.png").read_bytes().startswith(b"\x89PNG\r\n\x1a\n")
    assert Path("x.pdf").read_bytes().startswith(b"%PDF-1.7")


def test_pages_of_a_handout_hold_their_music_as_drawings(mine: str, capsys: pytest.CaptureFixture[str]) -> None:
    """With the ids of its notes, and no id twice; every reference leads somewhere."""
    for page in files_of(capsys, mine, "--tune", "1", "-o", "x.svg"):
        elements = list(fromstring(page.read_text(encoding="utf-8")).iter())
        ids = Counter(each.get("id") for each in elements if each.get("id"))
        assert max(ids.values()) == 1
        assert {f"n{rank}" for rank in range(8)} <= set(ids)
        assert not [each for each in elements if each.tag.endswith("}image")]
        targets = {value[1:] for each in elements for name, value in each.items() if name.endswith("href")}
        assert targets <= set(ids)


def test_words_that_are_sung_are_told_as_not_printed(mine: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Of each tune that has some; the tune itself is printed."""
    Path(mine).write_text(MINE.replace("d2|\n\n", "d2|\nw:la la la\n\n"))
    assert main(["sheet", mine, "--whole", "-o", "x.svg"]) == 0
    assert capsys.readouterr().err == "eightholes: the words of 'Mine' are not printed, the tune is\n"


def test_a_number_can_be_asked_for_again(mine: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Without one all tunes of a file come, in its order."""
    assert len(files_of(capsys, mine, "--tune", "2", "--tune", "1", "--whole", "-o", "two.svg")) == 2
    assert "Yours" in Path("two-1.svg").read_text(encoding="utf-8")
    assert len(files_of(capsys, mine, "--whole", "-o", "all.svg")) == 2
    assert "Mine" in Path("all-1.svg").read_text(encoding="utf-8")


def test_embellishments_lead_onto_a_note_that_they_can(mine: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Each has a staff with its gracenotes and a strip; a throw leads onto D though others lead onto low A."""
    (page,) = files_of(capsys, "--strip", "taorluath", "throw on D", "birl", "-o", "x.svg")
    drawing = Drawing([page.read_text(encoding="utf-8")])
    groups = [[each.get("class") for each in group.iter()] for group in drawing.each("graceGrp")]
    assert [classes.count("note") for classes in groups] == [4, 3, 4]
    letters = drawing.words().split()
    assert [letters.count(each) for each in ("thumb", "upper", "lower")] == [3, 3, 3]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["mine.abc", "-o", "x.txt"], "is no page; give a name that ends in .pdf, .svg or .png"),
        (["-o", "x.pdf"], "it is not clear what to print"),
        (["mine.abc", "--strip", "birl", "-o", "x.pdf"], "it is not clear what to print"),
        (["mine.abc", "--tune", "9", "-o", "x.pdf"], "there is no tune 9"),
        (["mine.abc", "--paper", "a5", "-o", "x.pdf"], "--paper"),
        (["--strip", "curl", "-o", "x.pdf"], "there is no 'curl' onto low A"),
        (["--strip", "birl", "--onto", "z", "-o", "x.pdf"], "the chanter has no note 'z'"),
        (["broken.abc", "-o", "x.pdf"], "broken.abc:5:1: a brace of gracenotes is not closed"),
        (["mine.abc", "-o", "nowhere/x.pdf"], "there is no folder nowhere"),
        (["mine.abc", "-o", "there.pdf"], "--force"),
        (["mine.abc", "-o", "there.svg"], "there-2.svg: this file is there already"),
    ],
)
def test_what_is_refused_is_one_line_and_leaves_nothing(
    mine: str, words: list[str], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """With what to do; a page of several that is there already keeps all from being written."""
    Path("broken.abc").write_text("X:1\nT:B\nM:4/4\nK:HP\n{gA2B2c2d2|\n")
    for name in ("there.pdf", "there-2.svg"):
        Path(name).write_text("old")
    before = {path: path.read_bytes() for path in Path().iterdir()}
    assert main(["sheet", *words]) == 2
    said = capsys.readouterr().err
    assert is_one_line(said)
    assert told in said
    assert {path: path.read_bytes() for path in Path().iterdir()} == before


@pytest.mark.parametrize("name", ["x.pdf", "x.png"])
def test_a_sign_without_a_font_is_told(name: str, mine: str, capsys: pytest.CaptureFixture[str]) -> None:
    """In one line, and the file is written; the sign is Tangut, which hardly any font has."""
    Path("odd.abc").write_text(MINE.partition("\n\n")[0].replace("Mine", "A \U00017000 tune") + "\n", encoding="utf-8")
    assert main(["sheet", "odd.abc", "--whole", "-o", name]) == 0
    said = capsys.readouterr().err
    assert is_one_line(said)
    assert "'\U00017000'" in said
    assert Path(name).exists()
