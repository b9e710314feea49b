"""What the book keeps of learners, and what it says they know, by a clock that is told."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from companion.lesson.model.known import NOTHING_KNOWN
from companion.lesson.model.steps import StepKey, StepKind
from companion.lesson.progress.book import ProgressBook
from fingering.errors import UserError
from tests.companion.lesson.progress.playing import CROSSING, TAORLUATH, heard, on_day, take
from tests.companion.listen.playing import FOUR_BARS, tune_of


@pytest.fixture
def book(tmp_path: Path) -> Iterator[ProgressBook]:
    """A new book."""
    opened = ProgressBook(tmp_path / "new" / "progress.sqlite")
    assert opened.trouble is None
    yield opened
    opened.close()


def test_nobody_knows_anything_at_first(book: ProgressBook) -> None:
    """Asking makes no learner."""
    assert book.known("Ann", on_day(0)) == NOTHING_KNOWN
    assert book.account("Ann", on_day(0)).takes == 0
    assert book.learners() == ()


def test_what_went_well_over_days_is_sure_and_comes_back(book: ProgressBook) -> None:
    """A week after the first time it is due again, until it is played."""
    book.take_in("Ann", take(on_day(0), heard(TAORLUATH, 8, 8)), on_day(0))
    assert book.known("Ann", on_day(1)).sure == {TAORLUATH}
    assert book.known("Ann", on_day(7)).due == frozenset()
    assert book.known("Ann", on_day(8)).due == {TAORLUATH}
    assert book.known("Ann", on_day(8)).is_new(TAORLUATH)
    book.take_in("Ann", take(on_day(8), heard(TAORLUATH, 8, 8)), on_day(8))
    assert book.known("Ann", on_day(20)) == book.known("Ann", on_day(8))
    assert book.known("Ann", on_day(20)).due == frozenset()


def test_what_goes_badly_is_neither_sure_nor_far_away(book: ProgressBook) -> None:
    """It is due the next day, though no lesson goes back to it: it is new there still."""
    book.take_in("Ann", take(on_day(0), heard(TAORLUATH, 2, 8), heard(CROSSING, 9, 9)), on_day(0))
    known = book.known("Ann", on_day(1))
    assert known.sure == {CROSSING}
    assert known.due == frozenset()
    assert [each.skill for each in book.account("Ann", on_day(1)).due] == [TAORLUATH]


def test_rounds_of_one_day_are_one_review(book: ProgressBook) -> None:
    """Ten rounds make no more sure than the first times; twelve of them tell, however well it went after that."""
    for round_ in range(10):
        clean = 1 if round_ < 3 else 4
        began = on_day(0, round_ / 10)
        book.take_in("Ann", take(began, heard(TAORLUATH, clean, 4)), began)
    assert book.known("Ann", on_day(0)).sure == frozenset()
    assert [each.skill for each in book.account("Ann", on_day(1)).due] == [TAORLUATH]


def test_takes_in_any_order_are_the_same_knowledge(tmp_path: Path) -> None:
    """What is taken in late counts on its own day."""
    takes = [take(on_day(3 * n), heard(TAORLUATH, 5 + n % 4, 8), heard(CROSSING, n % 5, 4)) for n in range(12)]
    books = [ProgressBook(tmp_path / name) for name in "abc"]
    orders = takes, takes[::-1], [*takes[6:], *takes[:6]]
    for each, order in zip(books, orders, strict=True):
        for one in order:
            assert each.take_in("", one, on_day(40))
    last = on_day(40)
    assert books[0].account("", last) == books[1].account("", last) == books[2].account("", last)
    for each in books:
        each.close()


def test_a_take_is_taken_in_once(book: ProgressBook) -> None:
    """Known by its moment and its file; nothing is counted twice."""
    one = take(on_day(0), heard(TAORLUATH, 3, 4), file="a.mid")
    assert book.take_in("Ann", one, on_day(0))
    once = book.account("Ann", on_day(0))
    assert not book.take_in("Ann", one, on_day(0))
    assert book.account("Ann", on_day(0)) == once
    assert book.was_looked_at("a.mid")
    assert not book.was_looked_at("b.mid")


def test_a_take_of_a_day_to_come_is_of_today(book: ProgressBook) -> None:
    """A clock was wrong; it must not hide what is played from now on."""
    book.take_in("Ann", take(on_day(900), heard(TAORLUATH, 8, 8)), on_day(0))
    assert book.account("Ann", on_day(0)).embellishments[0].last == on_day(0).date()


def test_each_learner_is_by_himself(book: ProgressBook) -> None:
    """By name; whoever says none is one too, and blanks around a name are none of it."""
    book.take_in(" Ann ", take(on_day(0), heard(TAORLUATH, 8, 8)), on_day(0))
    book.take_in("", take(on_day(0), heard(CROSSING, 8, 8)), on_day(0))
    assert book.learners() == ("", "Ann")
    assert book.known("Ann", on_day(0)).sure == {TAORLUATH}
    assert book.known("", on_day(0)).sure == {CROSSING}


@pytest.mark.parametrize("name", ["a\nb", "x" * 81, "\x1b[2J"])
def test_what_is_no_name_is_said(book: ProgressBook, name: str) -> None:
    """One line."""
    with pytest.raises(UserError, match="is no name") as caught:
        book.take_in(name, take(on_day(0)), on_day(0))
    assert str(caught.value).isprintable()


def test_steps_of_lessons_are_kept_by_tune(book: ProgressBook, tmp_path: Path) -> None:
    """Also after the book is opened again; a step that is done twice is done."""
    tune, other = tune_of(FOUR_BARS), tune_of("A4 B4|c4 d4|")
    drill = StepKey(StepKind.EMBELLISHMENT, (1, 1), TAORLUATH)
    phrase = StepKey(StepKind.PHRASE, (1, 2), None)
    for step in (drill, phrase, phrase):
        book.step_done("Ann", tune, step, on_day(0))
    book.step_done("Ann", other, phrase, on_day(0))
    again = ProgressBook(tmp_path / "new" / "progress.sqlite")
    assert again.steps_done("Ann", tune) == {drill, phrase}
    assert again.steps_done("Ann", other) == {phrase}
    assert again.steps_done("Bob", tune) == frozenset()
    again.close()


def test_steps_set_aside_are_kept_by_tune(book: ProgressBook, tmp_path: Path) -> None:
    """How often each was, and never less often; they go with their learner."""
    tune, phrase = tune_of(FOUR_BARS), StepKey(StepKind.PHRASE, (1, 2), None)
    drill = StepKey(StepKind.EMBELLISHMENT, (1, 1), TAORLUATH)
    for step, times in ((phrase, 1), (phrase, 2), (phrase, 1), (drill, 1)):
        book.step_set_aside("Ann", tune, step, times)
    again = ProgressBook(tmp_path / "new" / "progress.sqlite")
    assert again.steps_aside("Ann", tune) == {phrase: 2, drill: 1}
    assert again.steps_aside("Ann", tune_of("A4 B4|c4 d4|")) == {}
    assert again.steps_aside("Bob", tune) == {}
    again.delete("Ann")
    assert again.steps_aside("Ann", tune) == {}
    again.close()
