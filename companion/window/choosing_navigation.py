"""Navigation from the playing screen to choosing what to play, and back with what was chosen."""

from __future__ import annotations

from collections.abc import Callable

from companion.score.model import Tune
from companion.window.choose.book import Book, errors_line, problems_left
from companion.window.choose.choose_screen import ChooseScreen
from companion.window.choose.recent_keeper import RecentKeeper
from companion.window.choose.shelf import OurTunes, Shelf
from companion.window.play.fit_screen import FitScreen
from companion.window.play.play_screen import PlayScreen
from fingering.errors import UserError

Refit = Callable[[Tune], Tune]


def choose_tune(
    screen: PlayScreen, path: str | None = None, *, refit: Refit | None = None, shelf: Shelf | None = None
) -> ChooseScreen:
    """The screen on which a tune is chosen, over a playing screen.

    path: a file or folder to open at once. shelf: what can be chosen, None for the tunes of the playing screen.
    """
    shown = shelf or Shelf(OurTunes(screen.state.tunes), RecentKeeper(None))

    def play(tune: Tune, book: Book | None) -> FitScreen | None:
        read = shown.as_read(tune)
        problems = book.read.problems_of(tune) if book else ()
        left = problems_left(problems, tune, read)
        screen.open(read, _tunes_with(book, screen, shown), left, errors_line(left))
        shown.chosen = True
        return fit_question(screen, read, refit, shown)

    def follow(tune: Tune | None) -> str:
        words = screen.change_set(shown.as_read(tune) if tune else None)
        shown.last_set.keep(screen.state.row)
        return words

    return ChooseScreen(shown, screen.state.tune.place, play, path, follow)


def fit_question(screen: PlayScreen, tune: Tune, refit: Refit | None, shelf: Shelf | None = None) -> FitScreen | None:
    """The question how to read a tune; None where all its notes are on the chanter, or none can be brought there."""
    if tune.fits is None or refit is None:
        return None

    def shift() -> None:
        try:
            read = refit(tune)
        except UserError as error:
            screen.tell(str(error))
            return
        book = shelf.book_with(tune.place) if shelf else None
        if shelf:
            shelf.replace(tune, read)
        screen.exchange(tune, read, problems_left(book.read.problems_of(tune) if book else (), tune, read))

    return FitScreen(tune, shift)


def _tunes_with(book: Book | None, screen: PlayScreen, shelf: Shelf) -> tuple[Tune, ...]:
    """The tunes of the playing screen, those of a book first, as they are read."""
    if book is None:
        return screen.state.tunes
    others = (tune for tune in screen.state.tunes if tune.place.source != book.read.source)
    return (*map(shelf.as_read, book.tunes), *others)
