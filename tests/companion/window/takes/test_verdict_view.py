"""The verdict on a page, or on several: nothing that a teacher would say is lost."""

from __future__ import annotations

import re

import pytest

from companion.listen.model.findings import Finding, FindingKind
from companion.listen.verdict.matter.drills import Drill
from companion.listen.verdict.verdict import FIRST, Matter, Share, Verdict
from companion.window.core.actions import Action, Pick
from companion.window.core.display import Display, Print
from companion.window.core.marks import Picture, Role, Style, Wash
from companion.window.core.screen import Canvas, ScreenResult
from companion.window.shell import SMALLEST
from companion.window.takes.verdict_screen import VerdictScreen
from companion.window.takes.verdict_view import AFTER_THAT, NOT_JUDGED, NOTHING, WENT_WELL, stops_of
from tests.companion.window import scenes
from tests.companion.window.lettered import lettering_for

SIZES = (SMALLEST, *scenes.SIZES)


def matter(rank: int, words: int = 14) -> Matter:
    """One of many: its sentence and its drill begin with its number."""
    said = f"Thing {rank}: " + "somewhat late " * (words // 2) + "in bars 3 and 5."
    finding = Finding(FindingKind.LATE, float(rank), 3, 7, 7, "B", "B", (), 80.0, said, "B", "late")
    return Matter((finding,), Drill(f"Drill {rank}: " + "play it slower " * 6 + "ten times.", 5, 8, 2.0), said)


def verdict(matters: int, went_well: int = 5, not_judged: int = 2) -> Verdict:
    """A verdict with this many matters, things that went well and things not judged."""
    return Verdict(
        "Nets on the Slip",
        tuple(map(matter, range(1, matters + 1))),
        tuple(f"Good thing {rank} went well, and so it was said in a sentence." for rank in range(1, went_well + 1)),
        None,
        Share(118, 120),
        Share(70, 77),
        Share(100, 107),
        tuple(f"Bar {rank}: it was skipped." for rank in range(1, not_judged + 1)),
    )


def canvas(size: tuple[int, int], print_size: Print) -> Canvas:
    """What pictures are laid out for."""
    display = Display(print=print_size)
    return Canvas(*size, display, lettering_for(size, display))


def words_of(picture: Picture) -> str:
    """All that is written, in the order in which it stands."""
    return " ".join(label.text for label in scenes.labels(picture))


def pages(one: Verdict, shown: Canvas) -> list[Picture]:
    """What is seen while one moves down to the end."""
    screen = VerdictScreen(one, lambda rank: ScreenResult.STAY)
    pictures = [screen.picture(shown)]
    for _ in stops_of(one)[1:]:
        screen.act(Action.TEMPO_DOWN)
        pictures.append(screen.picture(shown))
    return pictures


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("print_size", Print)
@pytest.mark.parametrize("matters", [0, 2, 12])
def test_all_is_seen_by_moving_down(size: tuple[int, int], print_size: Print, matters: int) -> None:
    """Every thing to mend with its drill, what went well and what was not judged, at every size and in both prints."""
    one = verdict(matters)
    seen = "\n".join(map(words_of, pages(one, canvas(size, print_size))))
    for each in one.matters:
        assert each.text in seen
        assert each.drill.text in seen
    for sentence in (*one.went_well, *one.not_judged):
        assert sentence in seen
    assert "…" not in seen


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("print_size", Print)
def test_no_words_overlap_or_leave_the_window(size: tuple[int, int], print_size: Print) -> None:
    """On every page."""
    shown = canvas(size, print_size)
    for picture in pages(verdict(12), shown):
        rects = scenes.assert_apart(picture, shown.measure)
        for label, rect in rects:
            assert rect.x >= 0, label.text
            assert rect.right <= size[0], label.text
            assert rect.bottom <= size[1], label.text


def test_what_stands_on_other_pages_is_named() -> None:
    """How many things to mend, and which sections, above and below."""
    shown = pages(verdict(12), canvas((800, 600), Print.BIG))
    assert "below: " in words_of(shown[0])
    assert " to mend, what went well, not judged" in words_of(shown[0])
    assert "page 1 of " in words_of(shown[0])
    assert "above: " in words_of(shown[-1])
    assert "page" not in words_of(pages(verdict(1, 1, 0), canvas((1280, 720), Print.NORMAL))[0])


def test_the_first_three_come_first_and_the_others_after_what_went_well() -> None:
    """More than three at once are none; the rest can still be reached."""
    stops = stops_of(verdict(5))
    assert [stop.matter for stop in stops] == [0, 1, 2, None, None, 3, 4]
    assert [stop.heading for stop in stops] == ["", "", "", WENT_WELL, NOT_JUDGED, AFTER_THAT, ""]
    assert FIRST == 3


def test_only_what_is_to_be_mended_can_be_drilled() -> None:
    """By Enter or by a click; the rank is that of the thing in the verdict."""
    drilled: list[int] = []

    def drill(rank: int) -> ScreenResult:
        drilled.append(rank)
        return ScreenResult.CLOSE

    screen = VerdictScreen(verdict(5), drill)
    assert screen.act(Action.CHOOSE) is ScreenResult.CLOSE
    assert screen.act(Pick(3)) is ScreenResult.STAY
    assert "drill it" not in words_of(screen.picture(canvas((1280, 720), Print.NORMAL)))
    assert screen.act(Pick(5)) is ScreenResult.CLOSE
    assert drilled == [0, 3]


def test_a_faultless_take_is_praised() -> None:
    """The page says that nothing is to be mended, and Enter opens nothing."""
    screen = VerdictScreen(verdict(0, 3, 0), lambda rank: ScreenResult.CLOSE)
    words = words_of(screen.picture(canvas((1280, 720), Print.NORMAL)))
    assert NOTHING in words
    assert WENT_WELL in words
    assert screen.act(Action.CHOOSE) is ScreenResult.STAY


def test_a_word_too_tall_for_the_window_ends_in_an_ellipsis() -> None:
    """It is seen that there is more."""
    endless = Verdict("x", (matter(1, 900),), (), None, Share(1, 1), Share(1, 1), Share(1, 1), ())
    words = words_of(pages(endless, canvas(SMALLEST, Print.BIG))[0])
    assert "…" in words


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("print_size", Print)
def test_pages_keep_their_numbers_as_one_moves(size: tuple[int, int], print_size: Print) -> None:
    """As many of them whichever row is marked, and their numbers never go back."""
    told = [re.search(r"page (\d+) of (\d+)", words_of(each)) for each in pages(verdict(12), canvas(size, print_size))]
    numbers = [tuple(map(int, each.groups())) for each in told if each]
    assert len({count for _, count in numbers}) <= 1
    assert numbers == sorted(numbers)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("print_size", Print)
def test_the_marked_row_has_its_sign_and_no_number_touches_a_sentence(size: tuple[int, int], print_size: Print) -> None:
    """The sign is that of all lists; numbers of two digits too stand clear."""
    shown = canvas(size, print_size)
    for picture in pages(verdict(12), shown):
        labels = list(scenes.labels(picture))
        (sign,) = (each for each in labels if each.text == "›")
        band = next(mark.rect for mark in picture.marks if isinstance(mark, Wash))
        assert band.holds(sign.x, sign.y)
        for number in (each for each in labels if each.text.isdigit() and each.role is Role.GUIDE):
            right = scenes.label_rect(number, shown.measure).right
            said = min(each.x for each in labels if each.y == number.y and each.x > number.x)
            assert said - right >= shown.measure.height(Style.TEXT) * 0.15
