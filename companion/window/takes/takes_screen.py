"""The list of takes, the latest first."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime

from companion.files.folders import from_home
from companion.files.lines import one_line
from companion.hearing.takes.recordings import RecordingFile
from companion.midi.takes.reading import Listing, Summary, Take
from companion.window.core.actions import Action, Intent
from companion.window.core.hints import Group, KeyHint, KeyTable
from companion.window.core.list_screen import ListScreen, list_keys
from companion.window.core.list_view import ListContents, ListRow, list_picture
from companion.window.core.marks import Picture, Role, Style
from companion.window.core.screen import Canvas, Screen, ScreenResult
from companion.window.core.wording import path_within
from companion.window.live.input_messages import short_name
from companion.window.play.play_keys import slowness
from companion.window.takes.opening.take_opening import Listable, TakeOpening
from companion.window.takes.opening.tunes_near import tune_files_beside
from fingering.errors import UserError

WRITE_KEY: KeyHint[object] = KeyHint(
    (Action.ON,), lambda state, display: "write it down", "Writes the marked take down as a tune.", Group.LEARN
)
TAKES_KEYS: KeyTable[object] = list_keys("play it back", "back", WRITE_KEY)


UNKEPT = "this take has no file"

Open = Callable[[Listable], TakeOpening | None]
"""Begins to open a take of the list; None where that cannot be."""


class TakesScreen(ListScreen):
    """Takes to choose from; `play_back` begins to open the chosen one, which may take a moment.

    where: the folder, as people read it. unkept: takes that could not be written, which stand among the others, and in
    place of what there is of them in the folder. recordings: what was recorded elsewhere; tune: the title of the tune
    beside which one of these is played back, if no file of tunes lies beside it. write_down: begins to open the screen
    that writes a take down as a tune.
    """

    keys = TAKES_KEYS

    def __init__(
        self,
        listing: Listing,
        where: str,
        play_back: Open,
        unkept: Sequence[Take] = (),
        recordings: Sequence[RecordingFile] = (),
        tune: str = "",
        write_down: Open | None = None,
    ) -> None:
        super().__init__()
        in_part = {take.path for take in unkept}
        takes: list[Listable] = [
            *unkept,
            *(take for take in reversed(listing.takes) if take.path not in in_part),
            *recordings,
        ]
        self._takes = tuple(sorted(takes, key=_began, reverse=True))
        self._tune = tune
        self._beside = dict(zip((each.path for each in recordings), tune_files_beside(recordings), strict=True))
        self._where = where
        self._problem = _told(listing.problems)
        self._play_back = play_back
        self._write_down = write_down or play_back
        self._opening: TakeOpening | None = None
        self._refused = ""

    def row_count(self) -> int:
        """How many takes there are."""
        return len(self._takes)

    def choose(self, rank: int) -> ScreenResult | Screen:
        """Play a take back."""
        if rank >= len(self._takes):
            return ScreenResult.STAY
        self.rank = rank
        return self._open(self._play_back)

    def tick(self) -> ScreenResult | Screen | None:
        """Show what was being opened, once it is."""
        return self._opened()

    def _open(self, begin: Open) -> ScreenResult | Screen:
        """Begin to open the marked take; most are open at once."""
        self._opening, self._refused = begin(self._takes[self.rank]), ""
        return self._opened() or ScreenResult.STAY

    def _opened(self) -> Screen | None:
        if self._opening is None or not self._opening.is_over:
            return None
        opening, self._opening = self._opening, None
        answer = opening.answer()
        if isinstance(answer, str):
            self._refused = answer
            return None
        return answer

    def act(self, intent: Intent) -> ScreenResult | Screen:
        """Move the mark, play back the marked take, or write it down as a tune."""
        self._refused = ""
        if intent is Action.ON and self._takes:
            return self._open(self._write_down)
        return super().act(intent)

    def picture(self, canvas: Canvas) -> Picture:
        """The list."""
        problem = self._refused or self._problem
        line = self._opening.words if self._opening else problem or self._kept_line(canvas)
        role = Role.FAULT if problem and not self._opening else Role.QUIET
        hints = self.at_foot(canvas.display)
        rows = tuple(self._row(take) for take in self._takes)
        return list_picture(ListContents("Takes", rows, self.rank, hints, line, role), canvas)

    def _kept_line(self, canvas: Canvas) -> str:
        """Where the marked take is kept, with the whole name of its file, or that there are none yet."""
        if not self._takes:
            return _placed("no takes yet in ", self._where, canvas)
        path = self._takes[self.rank].path
        if path and isinstance(self._takes[self.rank], RecordingFile):
            return _placed("recorded in ", one_line(from_home(path)), canvas)
        return _placed("kept as ", f"{self._where}/{one_line(path.name)}", canvas) if path else UNKEPT

    def _row(self, take: Listable) -> ListRow:
        if isinstance(take, RecordingFile):
            file = self._beside.get(take.path)
            title = one_line(file.name if file else self._tune)
            beside = f", beside {title}" if title else ""
            name = f"{take.began.astimezone():%Y-%m-%d %H:%M}  {one_line(take.path.name)}"
            return ListRow(name, f"a recording{beside}")
        return _row(take)


def _began(take: Listable) -> datetime:
    return take.began if isinstance(take, RecordingFile) else take.heading.began


def _placed(words: str, path: str, canvas: Canvas) -> str:
    """Words and a path, whose folders give way where there is little room."""
    room = canvas.page.inner - canvas.measure.width(words, Style.TEXT)
    return f"{words}{path_within(path, Style.TEXT, room, canvas.measure)}"


def _told(problems: Sequence[UserError]) -> str:
    """The first of the files that are no takes, and how many more there are; "" for none."""
    more = f" (and {len(problems) - 1} more)" if len(problems) > 1 else ""
    return f"{one_line(str(problems[0]))}{more}" if problems else ""


def _row(take: Summary | Take) -> ListRow:
    heading = take.heading
    slow = f", {slowness(heading.timing.slow_down)}" if heading.timing and heading.timing.slow_down > 1 else ""
    unkept = ", until the program ends" if isinstance(take, Take) else ""
    sound = ", with sound" if take.sound else ""
    length_s = take.end_s + heading.tune_starts_s
    return ListRow(
        f"{heading.began.astimezone():%Y-%m-%d %H:%M}  {heading.shown_title}",
        f"{_duration(length_s)}{slow}, on {short_name(heading.source)}{sound}{unkept}",
    )


def _duration(length_s: float) -> str:
    """Minutes and seconds in words."""
    minutes, seconds = divmod(round(length_s), 60)
    return f"{minutes} min {seconds} s" if minutes else f"{seconds} s"
