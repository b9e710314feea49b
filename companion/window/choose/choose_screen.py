"""The screen on which a tune, a file or a folder is chosen; letters are the search."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from companion.files.worker import RUNNING, Done, Failed
from companion.score.model import Tune
from companion.score.place import Place as Written
from companion.window.choose.book import Book
from companion.window.choose.choose_state import ROWS_OF_WHEEL, ChooseState, at_place, moved_by, searched
from companion.window.choose.choose_view import ChoiceLines, choose_picture
from companion.window.choose.folders import FolderListing
from companion.window.choose.places import (
    ChoicePage,
    PageLevel,
    book_page,
    first_page,
    folder_page,
)
from companion.window.choose.reading import BookReading
from companion.window.choose.rows import ChoiceRow, ToFirstPage, ToLastSet, ToPath, ToTune
from companion.window.choose.shelf import SetOfTunes, Shelf
from companion.window.core.actions import Action, Intent, Pick, Typed
from companion.window.core.caps import CAPS
from companion.window.core.display import Display
from companion.window.core.hints import Group, Hint, KeyHint, KeyTable
from companion.window.core.list_screen import MOVE_KEY
from companion.window.core.marks import Picture, Role
from companion.window.core.screen import Answer, Canvas, Screen, ScreenResult

Play = Callable[[Tune, Book | None], Screen | None]
"""Plays a tune, of a book or of ours; returns the question that it has to be asked first, None for most."""

Follow = Callable[[Tune | None], str]


class ChooseScreen:
    """The list. `play` is called with what was chosen; a question that it returns is shown in the place of the list.

    playing: where the tune that plays is written, which is marked. path: a file or folder to open at once, as one that
    was dropped on the window. follow: lets a tune follow what plays, in a set, or takes the last one of it out again
    (None); returns the set in words.
    """

    def __init__(
        self, shelf: Shelf, playing: Written, play: Play, path: str | None = None, follow: Follow | None = None
    ) -> None:
        self._shelf = shelf
        self._playing = playing
        self._play = play
        self._below: list[ChooseState] = []
        self._reading: BookReading | None = None
        self._wrong = self._set = ""
        self._follow = follow or (lambda tune: "")
        self._question: Screen | None = None
        book = shelf.book_with(playing)
        if path is None and book and len(book.tunes) > 1:
            self.state = self._at(book_page(book, differs=book.path in shelf.differing))
        else:
            self.state = self._at(first_page(shelf))
        if path is not None:
            self._reading = BookReading(path, shelf.open)

    @property
    def written(self) -> str:
        """What was typed so far."""
        return self.state.query

    def keycaps(self) -> Sequence[tuple[str, Action]]:
        """The keys in force; all others that type a letter are the search."""
        if self._question:
            return self._question.keycaps()
        return (*CHOOSE_KEYS.keycaps(), (CAPS[Action.ERASE], Action.ERASE))

    def sheet(self, display: Display) -> Sequence[Hint]:
        """Nothing that is not at the foot."""
        return self._question.sheet(display) if self._question else ()

    def act(self, intent: Intent) -> Answer:
        """Write in the search, move the mark, choose the marked row, or go back."""
        if self._question:
            return self._question.act(intent)
        if intent is Action.LEAVE:
            return self._back()
        self._wrong = ""
        state = self.state
        match intent:
            case Typed(text):
                self.state = searched(state, state.query + text)
            case Action.ERASE:
                self.state = searched(state, state.query[:-1])
            case Action.TEMPO_DOWN:
                self.state = moved_by(state, 1)
            case Action.TEMPO_UP:
                self.state = moved_by(state, -1)
            case Action.SLOWER:
                self.state = moved_by(state, ROWS_OF_WHEEL)
            case Action.FASTER:
                self.state = moved_by(state, -ROWS_OF_WHEEL)
            case Action.ON:
                self._next_in_set(state.marked)
            case Action.BACK:
                self._set = self._follow(None)
            case Action.CHOOSE if state.marked:
                return self._choose(state.marked)
            case Pick(rank) if rank < len(state.rows):  # it may be that of a row which has gone since
                return self._choose(state.rows[rank])
        return ScreenResult.STAY

    def tick(self) -> ScreenResult | Screen | None:
        """Go on with what was read, once it is."""
        reading = self._reading
        if reading is None or reading.outcome is RUNNING:
            return None
        self._reading = None
        match reading.outcome:
            case Done(FolderListing() as listing):
                self._go(folder_page(listing))
            case Done(Book() as book):
                return self._open(book)
            case Done(SetOfTunes(tunes)):
                return self._take_set(tunes)
            case Failed(error):
                self._wrong = reading.why_not(error)
        return None

    def picture(self, canvas: Canvas) -> Picture:
        """The list, or the question that is to be answered first."""
        if self._question:
            return self._question.picture(canvas)
        return choose_picture(self.state, self.told, CHOOSE_KEYS.at_foot(self, canvas.display), canvas)

    def press(self, x: float, y: float, canvas: Canvas) -> Intent | None:
        """Nothing but targets can be clicked."""
        return None

    def close(self) -> None:
        """Nobody waits any more for what is being read."""
        if self._reading:
            self._reading.stop()

    @property
    def told(self) -> ChoiceLines:
        """What is said below the search: what is wrong, how far reading has come, a word about the place."""
        if self._wrong:
            return ChoiceLines(self._wrong, Role.FAULT)
        return ChoiceLines(self._reading.words if self._reading else self._set or self.state.place.line)

    @property
    def way_back(self) -> str:
        """What Esc does, in words."""
        if self._reading:
            return "stop reading"
        return "clear the search" if self.state.query else "back"

    def _back(self) -> ScreenResult:
        """One step back: what is being read, what is wrong, the search, the place, the list."""
        self._wrong = ""
        if self._reading:
            self._reading.stop()
            self._reading = None
        elif self.state.query:
            self.state = searched(self.state, "")
        elif self._below:
            self.state = self._below.pop()
        else:
            return ScreenResult.CLOSE
        return ScreenResult.STAY

    def _next_in_set(self, row: ChoiceRow | None) -> None:
        match row.choice if row else None:
            case ToTune(tune):
                self._set = self._follow(tune)
            case ToPath() | ToLastSet():
                self._wrong = "only a tune can follow in a set; Enter opens what is marked"

    def _choose(self, row: ChoiceRow) -> ScreenResult:
        if self._reading:
            self._reading.stop()
            self._reading = None
        match row.choice:
            case ToTune(tune):
                return self._take(tune, self._shelf.book_with(tune.place))
            case ToPath(path):
                self._reading = BookReading(path, self._shelf.open)
            case ToLastSet():
                self._reading = BookReading("the set", lambda path, progress: self._shelf.open_last_set())
            case ToFirstPage():
                self._go(first_page(self._shelf))
        return ScreenResult.STAY

    def _open(self, book: Book) -> ScreenResult | None:
        self._shelf.add(book)
        if len(book.tunes) == 1:
            return self._take(book.tunes[0], book)
        self._go(book_page(book, differs=False))
        return None

    def _take(self, tune: Tune, book: Book | None) -> ScreenResult:
        self._question = self._play(tune, book)
        return ScreenResult.STAY if self._question else ScreenResult.CLOSE

    def _take_set(self, tunes: Sequence[Tune]) -> ScreenResult:
        """Play the first, and let the others follow; a question about the first is asked before that."""
        first, *others = tunes
        answer = self._take(first, self._shelf.book_with(first.place))
        if answer is ScreenResult.CLOSE:
            for tune in others:
                self._follow(tune)
        return answer

    def _go(self, place: ChoicePage) -> None:
        """Show another place; Esc leads back to the nearest one of a higher level that was seen before."""
        if self.state.place.level < place.level:
            self._below.append(searched(self.state, ""))
        self._below = [state for state in self._below if state.place.level < place.level]
        self.state = self._at(place, left=self.state.place.path)

    def _at(self, place: ChoicePage, left: str = "") -> ChooseState:
        """A place with the mark at what plays, or at the folder that was left upwards."""
        book = self._shelf.book_with(self._playing)
        paths = {left, book.path if book else ""} - {""}

        def is_home(row: ChoiceRow) -> bool:
            match row.choice:
                case ToTune(tune):
                    return tune.place == self._playing
                case ToPath(path):
                    return path in paths and place.level is not PageLevel.BOOK
            return False

        if place.level is PageLevel.FIRST and not self._shelf.chosen and self._shelf.recent.files:
            return at_place(place)  # nothing was asked for yet: what was played last is at hand
        return at_place(place, is_home)


CHOOSE_KEYS: KeyTable[ChooseScreen] = KeyTable(
    (
        MOVE_KEY,
        KeyHint((Action.CHOOSE,), lambda screen, display: "choose", "Takes the marked row.", Group.SEE),
        KeyHint(
            (Action.BACK, Action.ON),
            lambda screen, display: "next in the set",
            "Lets the marked tune follow what plays, without a stop; or takes the last one out again.",
            Group.SEE,
        ),
        KeyHint((Action.LEAVE,), lambda screen, display: screen.way_back, "Goes one step back.", Group.SEE),
    ),
    (),
)
"""All keys that type a letter are the search, so that no other letter means anything here."""
