"""The catalogue's screen: where things stand, what keys and clicks do."""

from __future__ import annotations

from itertools import combinations

import pytest

from companion.window.core.actions import Action, Pick, Typed
from companion.window.core.display import Display, Print
from companion.window.core.marks import Picture, Role, Stripe, Wash
from companion.window.core.screen import Canvas, ScreenResult
from companion.window.embellishments.catalogue import catalogue_rows
from companion.window.embellishments.catalogue_screen import CatalogueScreen
from companion.window.embellishments.strips import strip_of
from companion.window.embellishments.subject import Subject, subject_of
from tests.companion.window import scenes
from tests.companion.window.lettered import lettering_for

SIZES = ((640, 480), *scenes.SIZES, (3840, 2160))


class Opened:
    """The catalogue's screen, and what was chosen on it."""

    def __init__(self) -> None:
        self.chosen: list[Subject] = []
        self.screen = CatalogueScreen(self._show)

    def _show(self, subject: Subject) -> CatalogueScreen:
        self.chosen.append(subject)
        return CatalogueScreen(self._show)

    def typed(self, text: str) -> None:
        """Some keys, one after the other."""
        for sign in text:
            self.screen.act(Typed(sign))


@pytest.fixture
def opened() -> Opened:
    """The catalogue as it opens."""
    return Opened()


def canvas(size: tuple[int, int] = (1280, 720), print_size: Print = Print.NORMAL) -> Canvas:
    """A window."""
    display = Display(print=print_size)
    return Canvas(*size, display, lettering_for(size, display))


def words(picture: Picture) -> list[str]:
    """All that can be read."""
    return [label.text for label in scenes.labels(picture)]


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("print_size", scenes.PRINTS)
@pytest.mark.parametrize(
    ("search", "rank"), [("", 0), ("", 64), ("", 200), ("", 356), ("taor", 3), ("zzz", 0), ("w" * 60, 0)]
)
def test_nothing_overlaps_or_leaves_the_window(
    opened: Opened, size: tuple[int, int], print_size: Print, search: str, rank: int
) -> None:
    """Wherever the list stands, searched or whole; the marked row is always seen, with its sentence."""
    opened.typed(search)
    for _ in range(rank):
        opened.screen.act(Action.TEMPO_DOWN)
    shown = canvas(size, print_size)
    picture = opened.screen.picture(shown)
    for label, rect in scenes.assert_apart(picture, shown.measure):
        assert 0 <= rect.x < rect.right <= size[0], label.text
        assert 0 <= rect.y < rect.bottom <= size[1], label.text
    stripes = [mark for mark in picture.still if isinstance(mark, Stripe)]
    assert all(0 <= mark.x0 < mark.x1 <= size[0] for mark in stripes)
    marked = opened.screen.state.marked
    assert any(isinstance(mark, Wash) and mark.role is Role.WASH for mark in picture.still) == (marked is not None)
    if marked is not None:
        assert marked.entry.embellishment.how_it_is_played.startswith(words(picture)[3 if search else 2][:20])


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("print_size", scenes.PRINTS)
def test_every_row_can_be_hit(opened: Opened, size: tuple[int, int], print_size: Print) -> None:
    """Rows measure at least 24 px (WCAG 2.2, 2.5.8), in big print 44 (2.5.5), and no target covers another."""
    targets = opened.screen.picture(canvas(size, print_size)).targets
    assert not any(scenes.meet(one.rect, other.rect) for one, other in combinations(targets, 2))
    least = 44 if print_size is Print.BIG else 24
    rows = [target.rect for target in targets if isinstance(target.intent, Pick)]
    assert len(rows) >= 3
    assert all(rect.height >= least for rect in rows)
    assert all(target.rect.height >= 24 and target.rect.width >= 24 for target in targets)


def test_a_row_shows_name_spelling_and_movements(opened: Opened) -> None:
    """And the family's name stands above."""
    opened.screen.act(Action.ON)
    picture = opened.screen.picture(canvas())
    assert {"Doublings", "C doubling", "gcd"} <= set(words(picture))
    assert any(isinstance(mark, Stripe) for mark in picture.still)


def test_a_strip_shows_each_finger_as_long_as_the_schedule_says(opened: Opened) -> None:
    """The lanes of the large picture, from a little before the first gracenote to a little after the last."""
    row = next(row for row in catalogue_rows() if row.name == "taorluath on low A")
    strip = strip_of(subject_of(row.entry))
    assert len(strip.lanes) == 8
    assert strip.last_s - strip.first_s == pytest.approx(4 * 0.040 + 2 * 0.06)


def test_the_search_is_shown_while_it_is_typed(opened: Opened) -> None:
    """With how many were found; before, what letters do here."""
    assert any("type to search" in text for text in words(opened.screen.picture(canvas())))
    opened.typed("birl")
    shown = words(opened.screen.picture(canvas()))
    assert {"search: birl", "5 found", "clear the search"} <= set(shown)
    opened.screen.act(Action.ERASE)
    assert opened.screen.written == "bir"
    opened.typed("zzz")
    assert "none is called or spelled like this" in words(opened.screen.picture(canvas()))


def test_no_letter_is_a_key_here(opened: Opened) -> None:
    """Since letters are the search."""
    assert all(len(cap) > 1 or cap in "↑↓←→" for cap, _ in opened.screen.keycaps())


def test_enter_opens_the_marked_one_and_a_click_any(opened: Opened) -> None:
    """From a note before it in which it is spelled as in its row."""
    opened.typed("taorluath low a")
    opened.screen.act(Action.CHOOSE)
    opened.screen.act(Pick(3))
    first, second = opened.chosen
    assert first.embellishment.full_name == "taorluath on low A"
    assert second.embellishment == opened.screen.state.rows[3].entry.embellishment
    assert opened.screen.act(Pick(9999)) is ScreenResult.STAY


def test_enter_opens_nothing_where_nothing_is_found(opened: Opened) -> None:
    """Nor does it leave."""
    opened.typed("zzz")
    assert opened.screen.act(Action.CHOOSE) is ScreenResult.STAY
    assert opened.screen.act(Action.TEMPO_DOWN) is ScreenResult.STAY


def test_esc_clears_the_search_and_then_leaves(opened: Opened) -> None:
    """One level back at a time."""
    opened.typed("birl")
    assert opened.screen.act(Action.LEAVE) is ScreenResult.STAY
    assert opened.screen.state.search == ""
    assert opened.screen.act(Action.LEAVE) is ScreenResult.CLOSE


def test_the_list_opens_anew_without_timing_anything_again(opened: Opened) -> None:
    """The strips come from a cache: all that was seen once is there at once."""
    opened.screen.picture(canvas())
    timed = strip_of.cache_info().misses
    Opened().screen.picture(canvas())
    assert strip_of.cache_info().misses == timed
