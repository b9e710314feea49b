"""Draws the playing screen as a picture: a function of state, moment and size, with a cache of what changes rarely."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from companion.schedule.count_in import CountIn
from companion.schedule.events import Schedule
from companion.schedule.practice.ladder import Ladder
from companion.schedule.practice.rounds import Turn
from companion.schedule.spans import whereabouts
from companion.score.tune_set import standing
from companion.window.core.actions import HearAlone, LetGo, RepeatBetween, Scrub
from companion.window.core.display import Display
from companion.window.core.hands import hand_marks
from companion.window.core.hints import Hint, hint_marks, hint_rows, with_shift
from companion.window.core.layout import NO_LINES, Layout, lay_out
from companion.window.core.marks import Foot, Label, Mark, Measure, Picture, Role, Style
from companion.window.core.page import Page
from companion.window.core.screen import Canvas, Grab
from companion.window.core.wording import wrapped, wrapped_within
from companion.window.lanes.brief_marks import EAR_LINES, brief_marks
from companion.window.lanes.count_marks import count_marks
from companion.window.lanes.finding_marks import finding_marks, lit_marks
from companion.window.lanes.header import HEADER_LINES, LEAST_READ_S, header_marks, place_marks
from companion.window.lanes.hover_marks import hover_marks
from companion.window.lanes.played_in import NOTHING_PLAYED, Light, PlayedIn
from companion.window.lanes.played_marks import played_marks, thin_lines
from companion.window.lanes.ribbon import Ribbon
from companion.window.lanes.told import MOST_LINES, NOTHING_TOLD, Told
from companion.window.lanes.turn_marks import turn_marks
from companion.window.lanes.unread import UnreadAt, sentence_near, unread_at, unread_marks
from companion.window.play.play_keys import PLAY_TABLE, slowness
from companion.window.play.play_state import PlayState
from companion.window.play.tools.round_settings import rung_words
from companion.window.staff.staff_room import lines_for

if TYPE_CHECKING:  # the first frame has no staff yet
    from companion.window.staff.staff_line import StaffSource
    from companion.window.staff.staff_marks import StaffShown
    from companion.window.staff.staff_view import StaffView

LAST_LINE_SPARED = 0.15
"""Of its height, which the last of several lines needs less: no other follows it."""


@dataclass(frozen=True, slots=True)
class _Kept:
    """What depends only on a schedule and a layout, computed once."""

    schedule: Schedule
    layout: Layout
    ribbon: Ribbon
    unread: tuple[UnreadAt, ...]


def play_foot(state: PlayState, display: Display, played: PlayedIn) -> tuple[Hint, ...]:
    """The keys at the foot of the playing screen; those under the fingers, while such play, with Shift."""
    return with_shift(PLAY_TABLE.at_foot(state, display), played.caps)


def _speed_words(state: PlayState) -> str:
    """How fast the tune goes: how much it is slowed down, or where its tempo stands that rises; "" where neither is."""
    if state.rounds.ladder is not Ladder.OFF and state.span is not None:
        return rung_words(state.tune, state.timing)
    return slowness(state.timing.slow_down) if state.timing.slow_down > 1.0 else ""


def title_now(state: PlayState, turn: int) -> str:
    """The title of the tune that plays and, in a set, the one that comes next."""
    if not state.row:
        return state.tune.title
    now = standing(state.row, turn)
    return f"{now.title}, then {now.following}" if now.following else now.title


FootOf = Callable[[PlayState, Display, PlayedIn], tuple[Hint, ...]]
"""Which keys stand at the foot of a state."""


def no_foot(state: PlayState, display: Display, played: PlayedIn) -> tuple[Hint, ...]:
    """No keys at the foot, as in a film, where there are none to press: the chanter gets their room."""
    return ()


class PlayView:
    """Makes pictures of play states, and caches what depends only on the schedule and the layout.

    foot: the keys at the foot of a picture.
    """

    def __init__(self, measure: Measure, foot: FootOf = play_foot) -> None:
        self.measure = measure
        self._foot = foot
        self._kept: _Kept | None = None
        self._staff: StaffView | None = None

    def picture(
        self,
        state: PlayState,
        display: Display,
        now_s: float,
        width: int,
        height: int,
        played: PlayedIn = NOTHING_PLAYED,
        heard: Told = NOTHING_TOLD,
        hovered: tuple[float, float] | None = None,
        count: CountIn | None = None,
        turn: Turn | None = None,
        staff: StaffSource | None = None,
    ) -> Picture:
        """The picture at `now_s` of the schedule, `width` x `height` pixels, with what was played in beside it.

        heard: what the ear has to say of it. hovered: where the pointer rests, None for elsewhere. count: the count-in
        that goes on at `now_s`: the lanes flow in, empty up to where the tune starts, and the fingers stand ready.
        turn: whose it is in an echo, None elsewhere. staff: who engraves the tune; None leaves the staff out.
        """
        layout = self.layout(state, display, width, height, played, staff)
        ribbon = self.ribbon(state, layout)
        foot_marks, foot_targets = hint_marks(self._foot(state, display, played), layout.footer, self.measure)
        sounds_s = max(now_s, count.place_s) if count else now_s
        here = whereabouts(state.tune, state.schedule, sounds_s)
        speed = _speed_words(state)
        place = place_marks(title_now(state, here.turn), here, layout, self.measure, speed)
        shown = self.staff_shown(state, display, layout, sounds_s, staff)
        still: list[Mark] = [*ribbon.still_marks(), *place, *(shown.marks if shown else ())]
        event = state.schedule.event_index_at(sounds_s)
        moving: list[Mark] = [
            *self.on_staff(shown, state, sounds_s, heard, count),
            *self.stage(state, display, now_s, layout, played, heard, hovered, count),
            *self._in_hand(state, now_s, event, layout, count, turn),
            *self._sentences(heard, layout),
            *brief_marks(heard.brief, layout, self.measure),
        ]
        keys = Foot(layout.footer.y, tuple(foot_marks), fades=state.playing)
        return Picture(width, height, tuple(still), tuple(moving), tuple(foot_targets), keys)

    def _in_hand(
        self, state: PlayState, now_s: float, event: int, layout: Layout, count: CountIn | None, turn: Turn | None
    ) -> Iterable[Mark]:
        """The largest word and those beside it: the beat that is counted, whose turn it is, or the note in hand."""
        if count:
            return count_marks(count, now_s, state.schedule, layout, self.measure, turn)
        if turn:
            return turn_marks(turn, layout, self.measure)
        least_s = LEAST_READ_S if state.playing else 0.0
        return header_marks(state.schedule, event, layout, self.measure, least_s)

    def stage(
        self,
        state: PlayState,
        display: Display,
        now_s: float,
        layout: Layout,
        played: PlayedIn,
        heard: Told,
        hovered: tuple[float, float] | None,
        count: CountIn | None,
    ) -> list[Mark]:
        """The chanter and all that moves in its lanes: what is asked, what is played in, and what is found in it."""
        kept = self._computed(state, layout)
        ribbon = kept.ribbon
        sounds_s = max(now_s, count.place_s) if count else now_s
        near = "" if played.news else sentence_near(kept.unread, sounds_s) or state.notice
        told = replace(played, problem=played.problem or near)
        return [
            *ribbon.marks(now_s, state.span, count, state.sound.pulse),
            *unread_marks(kept.unread, lambda at_s: ribbon.x_at(at_s, now_s), layout),
            *finding_marks(heard.marked, lambda at_s: ribbon.x_at(at_s, now_s), layout),
            *thin_lines(played.moments, now_s, lambda time_s: ribbon.x_at(time_s, now_s), layout),
            *hand_marks(state.lanes, sounds_s, state.timing.slow_down, layout, display),
            *lit_marks(heard.lit, layout, display),
            *played_marks(told, layout, display, self.measure),
            *hover_marks(
                None if count else hovered,
                state.lanes,
                state.schedule,
                lambda x: ribbon.time_at(x, now_s),
                layout,
                self.measure,
            ),
        ]

    def staff_shown(
        self, state: PlayState, display: Display, layout: Layout, at_s: float, staff: StaffSource | None
    ) -> StaffShown | None:
        """The line of staff at a moment; None where there is no room for one, and while it is not ready."""
        if staff is None or not staff.is_ready or not layout.staff.height:
            return None
        if self._staff is None:
            from companion.window.staff.staff_view import StaffView

            self._staff = StaffView()
        return self._staff.shown(
            staff, state.tune, state.schedule, layout.staff, display.print, at_s, state.span, runs=state.playing
        )

    def on_staff(
        self, shown: StaffShown | None, state: PlayState, at_s: float, heard: Told, count: CountIn | None
    ) -> Iterator[Mark]:
        """Yield what is marked on the staff: what was found, and what sounds, but for a count-in, when nothing does."""
        if shown is None:
            return
        from companion.window.staff.staff_marks import found_marks, sounding_marks, stretch_marks

        yield from stretch_marks(shown, state.schedule)
        if count is None:
            yield from sounding_marks(shown, state.schedule, state.schedule.event_index_at(at_s))
        yield from found_marks(shown, state.schedule, (*heard.marked, *((heard.lit,) if heard.lit else ())))

    def layout(
        self,
        state: PlayState,
        display: Display,
        width: int,
        height: int,
        played: PlayedIn = NOTHING_PLAYED,
        staff: StaffSource | None = None,
    ) -> Layout:
        """The layout at that size; where something is played in on, with room for what the ear says."""
        page = Page.of(width, height, self.measure)
        rows = hint_rows(self._foot(state, display, played), page.inner, self.measure)
        ear = NO_LINES if played.light is Light.OFF else EAR_LINES
        return lay_out(page, rows, display.print, HEADER_LINES, ear_lines=ear, staff_lines=lines_for(staff, display))

    def _sentences(self, heard: Told, layout: Layout) -> list[Mark]:
        """The ear's sentences, below the words for what sounds, each on a line of its own where all have room so.

        Else one follows the other; an ellipsis where more was said than has room.
        """
        width, most = layout.ear.width, min(MOST_LINES, int(layout.ear.height / layout.line + LAST_LINE_SPARED))
        role = Role.FAULT if heard.amiss else Role.INK
        lines = [part for text in heard.lines for part in wrapped(text, Style.STRONG, width, self.measure)]
        if len(lines) > most:
            lines = wrapped_within(" ".join(heard.lines), Style.STRONG, width, most, self.measure)
        return [
            Label(layout.ear.x, layout.page.words_y(layout.ear.y, rank), text, Style.STRONG, role)
            for rank, text in enumerate(lines)
        ]

    def grab_at(
        self,
        state: PlayState,
        canvas: Canvas,
        at: tuple[float, float],
        now_s: float,
        played: PlayedIn = NOTHING_PLAYED,
        staff: StaffSource | None = None,
    ) -> Grab | None:
        """What lies at a place to be taken hold of; None for nothing."""
        layout = self.layout(state, canvas.display, canvas.width, canvas.height, played, staff)
        return self.grab_in(state, layout, at, now_s, self.staff_shown(state, canvas.display, layout, now_s, staff))

    def grab_in(
        self,
        state: PlayState,
        layout: Layout,
        at: tuple[float, float],
        now_s: float,
        shown: StaffShown | None = None,
    ) -> Grab | None:
        """What lies at a place of a layout to be taken hold of: the lanes, the names below them, or a note of the line
        of staff that is shown; None elsewhere.

        A note or gracenote is heard alone by a tap on the lanes or their names; a tap on the staff goes to its note.
        """
        x, y = at
        if shown and layout.staff.holds(x, y):
            from companion.window.staff.staff_grab import staff_grab

            return staff_grab(shown, state.schedule, at)
        ribbon = self.ribbon(state, layout)
        there_s = ribbon.time_at(x, now_s)
        alone, held = HearAlone(there_s), HearAlone(there_s, repeated=True)
        if layout.lanes.y <= y < layout.strokes_bottom:
            return Grab(alone, held, lambda to_x: Scrub(now_s + there_s - ribbon.time_at(to_x, now_s)), LetGo())
        if layout.strokes_bottom <= y < layout.footer.y:
            return Grab(alone, held, lambda to_x: RepeatBetween(there_s, ribbon.time_at(to_x, now_s)), LetGo())
        return None

    def ribbon(self, state: PlayState, layout: Layout) -> Ribbon:
        """The lanes of a state in a layout; those asked for last are kept."""
        return self._computed(state, layout).ribbon

    def _computed(self, state: PlayState, layout: Layout) -> _Kept:
        kept = self._kept
        if kept is None or kept.schedule is not state.schedule or kept.layout != layout:
            ribbon = Ribbon(state.schedule, state.lanes, layout, state.timing, self.measure)
            unread = unread_at(state.tune, state.schedule, state.unread)
            kept = self._kept = _Kept(state.schedule, layout, ribbon, unread)
        return kept
