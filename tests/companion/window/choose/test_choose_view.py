"""The list fits every window: nothing overlaps or leaves it, and every row can be hit."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest

from companion.window.choose.choose_screen import ChooseScreen
from companion.window.choose.recent import RecentFile
from companion.window.choose.rows import tune_row
from companion.window.core.actions import Action, Pick
from companion.window.core.display import Display, Print
from companion.window.core.marks import Label, Picture, Rule, Style, Wash
from companion.window.core.screen import Canvas
from tests.companion.window import scenes
from tests.companion.window.choose.choosing import Choosing, book_text, settle, type_in
from tests.companion.window.lettered import lettering_for

LONG = "The Long and Winding Lament for the Departure of the Last of the Herring Boats " * 3
SIZES = ((640, 480), *scenes.SIZES, (3840, 2160))
every_size = pytest.mark.parametrize("size", SIZES)
every_print = pytest.mark.parametrize("print_", Print)


@pytest.fixture
def files(tmp_path: Path) -> Path:
    """A folder with long names in it, and a book of 2,000 tunes, one of them long and one without a name."""
    folder = tmp_path / ("a folder with quite a long name for a folder, as some people have them " * 2)
    folder.mkdir()
    (folder / f"{LONG[:200]}.abc").write_text(book_text(["One"]))
    (folder / "sub folder").mkdir()
    (folder / "book.abc").write_text(book_text([LONG, "", *(f"Tune no. {i}" for i in range(400))]))
    return folder


def pages(files: Path) -> dict[str, ChooseScreen]:
    """Every page of the list, and what is said on it."""
    choosing = Choosing()
    for number in range(3):
        choosing.shelf.recent.add(RecentFile(str(files / f"{number}.abc"), LONG, 1 + number))
    shown = {
        "first": choosing.open(),
        "folder": choosing.open(files),
        "gone": choosing.open(files / f"{LONG[:90]}.abc"),
    }
    for name, query in (("found", "window"), ("nothing found", "q" * 60)):
        shown[name] = choosing.open()
        type_in(shown[name], query)
    shown["book"] = choosing.open(files / "book.abc")
    shown["last of book"] = choosing.open(files / "book.abc")
    for _ in range(500):
        shown["last of book"].act(Action.TEMPO_DOWN)
    reading = choosing.choose(choosing.playing, str(files / "book.abc"))
    settle(reading)
    shown["found in book"] = reading
    type_in(reading, "long herring")
    return shown


def canvas_of(size: tuple[int, int], print_: Print) -> Canvas:
    """A window of that size."""
    display = Display(print=print_)
    return Canvas(*size, display, lettering_for(size, display))


def pictures(files: Path, canvas: Canvas) -> dict[str, Picture]:
    """Every page in such a window."""
    return {name: screen.picture(canvas) for name, screen in pages(files).items()}


@every_size
@every_print
def test_nothing_overlaps_or_leaves_the_window(files: Path, size: tuple[int, int], print_: Print) -> None:
    """No words meet others, and all of them, and all targets, are in sight."""
    canvas = canvas_of(size, print_)
    for name, picture in pictures(files, canvas).items():
        for label, rect in scenes.assert_apart(picture, canvas.measure):
            assert rect.x >= 0, (name, label.text)
            assert rect.right <= size[0], (name, label.text)
            assert rect.y >= 0, (name, label.text)
            assert rect.bottom <= size[1], (name, label.text)
        for target in picture.targets:
            assert target.rect.x >= 0
            assert target.rect.right <= size[0] + 1
            assert target.rect.bottom <= size[1]


@every_size
@every_print
def test_every_row_can_be_hit(files: Path, size: tuple[int, int], print_: Print) -> None:
    """24 px high at least, 44 in big print (WCAG 2.2, 2.5.8 and 2.5.5), and none lies over another."""
    canvas = canvas_of(size, print_)
    for picture in pictures(files, canvas).values():
        rows = [target.rect for target in picture.targets if isinstance(target.intent, Pick)]
        assert all(rect.height >= (44 if print_ is Print.BIG else 24) for rect in rows)
        for one, other in pairwise(rows):
            assert one.bottom <= other.y + 0.01
        keys = [target.rect for target in picture.targets if not isinstance(target.intent, Pick)]
        assert not any(scenes.meet(row, key) for row in rows for key in keys)


@every_size
@every_print
def test_the_marked_row_is_in_sight(files: Path, size: tuple[int, int], print_: Print) -> None:
    """It is the one that is told by its wash, by bold words and by a sign, never by colour alone."""
    canvas = canvas_of(size, print_)
    for name, screen in pages(files).items():
        picture = screen.picture(canvas)
        washes = [mark for mark in picture.still if isinstance(mark, Wash)]
        if screen.state.mark is None:
            assert (name, washes) == ("nothing found", [])
            continue
        (wash,) = washes
        signs = [label for label in scenes.labels(picture) if label.text == "›"]
        assert [wash.rect.holds(sign.x, sign.y) for sign in signs] == [True]
        assert Pick(screen.state.mark) in [target.intent for target in picture.targets]


def test_only_rows_in_sight_are_laid_out(tmp_path: Path) -> None:
    """Whatever the length of the list."""
    choosing = Choosing()
    row = tune_row(scenes.tune())
    choosing.shelf.ours = (row,) * 5_000
    picture = choosing.open().picture(canvas_of((1280, 720), Print.NORMAL))
    assert len(picture.still) < 100


def test_the_screen_says_that_letters_are_the_search() -> None:
    """And what they find, and what Esc does; a stroke stands where the next letter comes."""
    choosing = Choosing()
    canvas = canvas_of((800, 600), Print.NORMAL)
    screen = choosing.open()
    words = [label.text for label in scenes.labels(screen.picture(canvas))]
    assert "Type to find a tune by title, composer or rhythm." in words
    type_in(screen, "slow air")
    picture = screen.picture(canvas)
    words = [label.text for label in scenes.labels(picture)]
    assert {"slow air", "1 found", "clear the search"} <= set(words)
    typed = next(label for label in scenes.labels(picture) if label.text == "slow air")
    assert isinstance(typed, Label)
    assert any(isinstance(mark, Rule) and mark.x0 > typed.x and abs(mark.y0 - typed.y) < 20 for mark in picture.still)
    assert typed.style is Style.STRONG


def test_a_reader_says_how_far_it_has_come(tmp_path: Path) -> None:
    """In tunes; Esc stops it, and nothing else happens."""
    path = tmp_path / "big.abc"
    path.write_text(book_text(f"Tune no. {i} of a long book" for i in range(900)) + "%" * 400_000)
    choosing = Choosing()
    screen = choosing.choose(choosing.playing, str(path))
    if screen.way_back == "stop reading":  # a fast machine may be through already
        assert screen.told.words.startswith("reading big.abc")
        assert screen.act(Action.LEAVE) is not None
        assert screen.tick() is None
        assert screen.state.place.title == "Tunes"
        assert choosing.shelf.books == {}
    screen.close()


@pytest.mark.parametrize(("written", "shown"), [("C", "4/4"), ("C|", "2/2"), ("6/8", "6/8")])
def test_a_metre_is_shown_in_figures(written: str, shown: str) -> None:
    """Common time is four crotchets, cut time two minims (music's common practice, no source)."""
    assert tune_row(scenes.tune(scenes.ABC.replace("M:4/4", f"M:{written}"))).about.endswith(shown)
