"""Draws one embellishment alone: its name, how it is played, what was heard of it, and the chanter and lanes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from companion.schedule.count_in import CountIn
from companion.schedule.practice.rounds import Turn
from companion.window.core.actions import Action
from companion.window.core.hints import Hint, hint_marks, hint_rows
from companion.window.core.layout import LEAST_CHANTER_SHARE, Layout, Lines, lay_out
from companion.window.core.marks import Foot, Label, Mark, Measure, Picture, Rect, Role, Style, Target
from companion.window.core.page import LEAST_TARGET_PX, Page
from companion.window.core.screen import Canvas, Grab
from companion.window.core.wording import fitted, wrapped_within
from companion.window.embellishments.practice_keys import PracticeState, practice_foot
from companion.window.embellishments.subject import Subject
from companion.window.lanes.count_marks import count_marks
from companion.window.lanes.header import (
    HEADER_LINES,
    LEAST_READ_S,
    beside_note,
    read_gracenote,
    sounding_marks,
    spelled_marks,
)
from companion.window.lanes.played_in import Light, PlayedIn
from companion.window.lanes.told import Told
from companion.window.lanes.turn_marks import turn_marks
from companion.window.play.play_view import PlayView

MOST_SENTENCE_LINES = 2
MOST_TOLD_LINES = 2
NAME_LINES = 1.45  # the y of the name in lines from the top of the header
_NAME_STYLES = (Style.MEDIUM, Style.SECOND)
LONGEST_TOLD = "None of the last ten were even. The lower middle finger and the lower ring finger were late ten times."
PLAY_BACK = "press I to play it back on these keys"
NOT_YET = "Play along: each time round is heard."


@dataclass(frozen=True, slots=True)
class _Room:
    """A layout, with the lines of how it is played, and how many lines there are for what was heard."""

    layout: Layout
    sentence: tuple[str, ...]
    told_lines: int

    @property
    def tall(self) -> bool:
        """Whether the chanter keeps its share of the window's height."""
        return self.layout.foot_y - self.layout.chanter_top >= LEAST_CHANTER_SHARE * self.layout.page.height - 1.0


class PracticeView:
    """Makes pictures of one embellishment; the chanter and the lanes are those of the playing screen."""

    def __init__(self, measure: Measure) -> None:
        self.measure = measure
        self._playing = PlayView(measure)

    def picture(
        self,
        state: PracticeState,
        canvas: Canvas,
        now_s: float,
        played: PlayedIn,
        heard: Told,
        hovered: tuple[float, float] | None = None,
        count: CountIn | None = None,
        turn: Turn | None = None,
    ) -> Picture:
        """The picture at `now_s` of the exercise, with what was played in beside it and what was heard of it.

        hovered: where the pointer rests, None for elsewhere. count: the count-in that goes on at `now_s`. turn: whose
        it is in an echo, None elsewhere.
        """
        room = self._room(state, canvas, played)
        layout = room.layout
        shown = played if played.light is not Light.OFF or played.words else replace(played, words=PLAY_BACK)
        keys, targets = hint_marks(self._foot(state, canvas, played), layout.footer, self.measure)
        still = (*self._playing.ribbon(state.play, layout).still_marks(), *self._sentence_marks(room))
        moving: tuple[Mark, ...] = (
            *self._playing.stage(state.play, canvas.display, now_s, layout, shown, heard, hovered, count),
            *(
                count_marks(count, now_s, state.play.schedule, layout, self.measure, turn)
                if count
                else turn_marks(turn, layout, self.measure)
                if turn
                else self._in_hand(state, now_s, layout)
            ),
            *self._told(heard.lines, room),
        )
        foot = Foot(layout.footer.y, tuple(keys), fades=state.play.playing)
        ends = self._ends(state.subject, layout)
        return Picture(canvas.width, canvas.height, still, moving, (*ends, *targets), foot)

    def grab_at(
        self, state: PracticeState, canvas: Canvas, at: tuple[float, float], now_s: float, played: PlayedIn
    ) -> Grab | None:
        """What lies at a place to be taken hold of, as on the playing screen."""
        return self._playing.grab_in(state.play, self.layout(state, canvas, played), at, now_s)

    def layout(self, state: PracticeState, canvas: Canvas, played: PlayedIn) -> Layout:
        """The layout at that size: with room for how it is played and, once played in on, for what was heard."""
        return self._room(state, canvas, played).layout

    def _room(self, state: PracticeState, canvas: Canvas, played: PlayedIn) -> _Room:
        """The room that words get: in a small window, where the chanter would not be tall, how it is played gives way
        to what was heard.
        """
        rows = hint_rows(self._foot(state, canvas, played), canvas.page.inner, self.measure)
        sentence = self._sentence(state.subject, canvas.page)
        told = self._told_lines(canvas.page)
        ways = [(sentence, 0)] if played.light is Light.OFF else [(sentence, told), (sentence, 1), ((), told), ((), 1)]
        rooms = [_Room(self._layout(canvas, rows, float(len(lines) + most)), lines, most) for lines, most in ways]
        return next((room for room in rooms if room.tall), rooms[-1])

    def _layout(self, canvas: Canvas, rows: int, lines: float) -> Layout:
        return lay_out(canvas.page, rows, canvas.display.print, HEADER_LINES, ear_lines=Lines(lines, lines))

    def _told_lines(self, page: Page) -> int:
        return len(wrapped_within(LONGEST_TOLD, Style.STRONG, page.inner, MOST_TOLD_LINES, self.measure))

    def _sentence(self, subject: Subject, page: Page) -> tuple[str, ...]:
        words = subject.embellishment.how_it_is_played
        return tuple(wrapped_within(words, Style.TEXT, page.inner, MOST_SENTENCE_LINES, self.measure))

    def _sentence_marks(self, room: _Room) -> Iterator[Mark]:
        """Yield how it is played."""
        ear = room.layout.ear
        for rank, words in enumerate(room.sentence):
            yield Label(ear.x, room.layout.page.words_y(ear.y, rank), words)

    def _name(self, subject: Subject, layout: Layout) -> Label:
        """The embellishment's name, as large as it has room beside the note that sounds."""
        x, name = beside_note(layout, self.measure), subject.embellishment.full_name
        wide = layout.header.right - x
        style = next((each for each in _NAME_STYLES if self.measure.width(name, each) <= wide), Style.STRONG)
        return Label(x, layout.header.y + layout.line * NAME_LINES, fitted(name, style, wide, self.measure), style)

    def _foot(self, state: PracticeState, canvas: Canvas, played: PlayedIn) -> tuple[Hint, ...]:
        return practice_foot(state, canvas.display, played, canvas.page.inner, self.measure)

    def _in_hand(self, state: PracticeState, now_s: float, layout: Layout) -> Iterator[Mark]:
        """Yield its name, the note that sounds, and all notes that it goes through, one by one."""
        yield self._name(state.subject, layout)
        schedule = state.play.schedule
        event = schedule.event_index_at(now_s)
        read = read_gracenote(schedule, event, LEAST_READ_S if state.play.playing else 0.0)
        yield from sounding_marks(schedule, event, read, layout, self.measure)
        onto = len(state.subject.embellishment.gracenotes) + 1
        reached = onto if schedule.embellishments[schedule.events[event].played] else 0
        yield from self._spelled(state.subject, reached if read is None else read + 1, layout)

    def _spelled(self, subject: Subject, current: int, layout: Layout) -> list[Mark]:
        """The notes that it goes through: by name, and by their letters where there is no room for the names."""
        notes = (subject.before, *subject.embellishment.gracenotes, subject.embellishment.onto)
        x = beside_note(layout, self.measure)
        named = spelled_marks([note.label for note in notes], current, x, layout, self.measure)
        if len(_labels(named)) == len(notes):
            return named
        return spelled_marks([note.letter for note in notes], current, x, layout, self.measure)

    def _ends(self, subject: Subject, layout: Layout) -> Iterator[Target]:
        """Yield where the two notes can be clicked, for another one to come from or to lead onto."""
        labels = _labels(self._spelled(subject, 0, layout))
        for label, action in ((labels[0], Action.FIRST_NOTE), (labels[-1], Action.SECOND_NOTE)):
            wide = max(self.measure.width(label.text, label.style), LEAST_TARGET_PX)
            x = min(label.x - wide / 2, layout.header.right - wide)  # the last may stand at the very edge
            yield Target(Rect(x, label.y - LEAST_TARGET_PX / 2, wide, LEAST_TARGET_PX), action)

    def _told(self, lines: Sequence[str], room: _Room) -> Iterator[Mark]:
        """Yield what was heard of it, below how it is played."""
        if not room.told_lines:
            return
        ear, page = room.layout.ear, room.layout.page
        words, role = " ".join(lines) or NOT_YET, Role.PLAYED if lines else Role.QUIET
        for rank, text in enumerate(wrapped_within(words, Style.STRONG, ear.width, room.told_lines, self.measure)):
            yield Label(ear.x, page.words_y(ear.y, len(room.sentence) + rank), text, Style.STRONG, role)


def _labels(marks: Sequence[Mark]) -> list[Label]:
    return [mark for mark in marks if isinstance(mark, Label)]
