"""A take as a picture: the fingers that played it, and beside them, where it is known, what was asked."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial

from companion.listen.model.findings import Finding
from companion.schedule.spans import Span
from companion.schedule.timing import Timing
from companion.window.core.actions import Pick
from companion.window.core.display import Display, Print
from companion.window.core.hands import hand_marks
from companion.window.core.hints import Hint, hint_marks, hint_rows
from companion.window.core.layout import LEAST_CHANTER_SHARE, NO_LINES, Layout, Lines, lay_out
from companion.window.core.marks import Anchor, Label, Mark, Measure, Picture, Role, Style
from companion.window.core.page import Page
from companion.window.core.screen import Grab, dragged_lanes
from companion.window.core.wording import fitted
from companion.window.lanes.finding_marks import chosen_arrow, chosen_frames, finding_marks, lit_marks, quiet_arrows
from companion.window.lanes.played_marks import full_lines, thin_lines
from companion.window.lanes.ribbon import Ribbon
from companion.window.live.input_messages import short_name
from companion.window.play.free_view import PX_SHARE, lane_marks
from companion.window.staff.staff_grab import sought_on_staff
from companion.window.staff.staff_line import StaffSource
from companion.window.staff.staff_marks import StaffShown, found_marks, sounding_marks
from companion.window.staff.staff_room import lines_for
from companion.window.staff.staff_view import StaffView
from companion.window.takes.asked_tune import AskedTune
from companion.window.takes.matters_view import Block, Manner, Room, faultless, words_block
from companion.window.takes.take_keys import foot_hints
from companion.window.takes.take_lines import OVERVIEW_LINES, notice_beside, overview_marks, strip_marks
from companion.window.takes.take_state import SoundedSide, TakeState
from companion.window.takes.take_words import share_heard, sounding_words

_CLOSENESS = 0.25  # power of the slow-down by which a played second widens
_STANDS_WITHIN_S = 1e-6


FootOf = Callable[[TakeState, Display], Sequence[Hint]]
"""Which keys stand at the foot of a state."""

WordsOf = Callable[[TakeState, Display, Page, Room, Measure, float], Block]
"""The words at the top of the page, for a state at a moment."""


@dataclass(frozen=True, slots=True)
class _Tried:
    """A way to lay the words out, and whether all have room in it."""

    layout: Layout
    words: Block
    fits: bool

    @property
    def has_staff(self) -> bool:
        """Whether a staff has room as well."""
        return self.fits and self.layout.staff.height > 0.0

    @property
    def rows(self) -> int:
        """How many things to mend can be seen."""
        return sum(isinstance(target.intent, Pick) for target in self.words.targets)


class TakeView:
    """Turns a take's state into pictures; what was asked is worked out once for each layout and slow-down.

    foot: the keys at the foot of a picture. words: what stands above the chanter.
    """

    def __init__(self, measure: Measure, foot: FootOf = foot_hints, words: WordsOf = words_block) -> None:
        self.measure = measure
        self._foot, self._words = foot, words
        self._kept: tuple[AskedTune, Layout, Ribbon] | None = None
        self._staff = StaffView()

    def picture(
        self,
        state: TakeState,
        display: Display,
        now_s: float,
        width: int,
        height: int,
        staff: StaffSource | None = None,
    ) -> Picture:
        """The screen when the take stands at `now_s`, `width` x `height` pixels. staff: who engraves what was asked."""
        layout, words = self._laid_out(state, display, now_s, width, height, staff)
        foot_marks, foot_targets = hint_marks(self._foot(state, display), layout.footer, self.measure)
        names = self._names_what_sounds(state)
        place = self._place(state, layout) if names else ()
        notice = state.notice if notice_beside(state, layout.page, self.measure) and not names else ""
        sounds = _sounds_beside(state)
        shown = self._staff_shown(sounds, display, layout, now_s, staff)
        still: list[Mark] = [*lane_marks(layout), *foot_marks, *place, *(shown.marks if shown else ())]
        lanes = state.asked.lanes if state.asked and state.sounding is SoundedSide.ASKED else state.lanes
        moving: list[Mark] = [
            *_on_staff(shown, sounds, state, now_s),
            *self._lines(state, now_s, layout),
            *(overview_marks(state, now_s, layout) if _has_overview(layout) else ()),
            *hand_marks(lanes, now_s, 1.0, layout, display),
            *_looked_at(state, now_s, layout, display),
            *words.marks,
            *(self._note(state, now_s, layout) if names else ()),
            *strip_marks(state, now_s, layout, self.measure, titled=not names, notice=notice),
        ]
        return Picture(width, height, tuple(still), tuple(moving), (*words.targets, *foot_targets))

    def layout(
        self, state: TakeState, display: Display, width: int, height: int, staff: StaffSource | None = None
    ) -> Layout:
        """The places of the screen; a second of the take widens a little as it is slowed down."""
        return self._laid_out(state, display, state.position_s, width, height, staff)[0]

    def _staff_shown(
        self, sounds: AskedTune | None, display: Display, layout: Layout, now_s: float, staff: StaffSource | None
    ) -> StaffShown | None:
        """The line of staff on which what was asked stands; None where it is not known, or has no room."""
        if sounds is None or staff is None or not staff.is_ready or not layout.staff.height:
            return None
        place, print_size = layout.staff, display.print
        return self._staff.shown(staff, sounds.performed, sounds.schedule, place, print_size, now_s)

    def _laid_out(
        self,
        state: TakeState,
        display: Display,
        now_s: float,
        width: int,
        height: int,
        staff: StaffSource | None,
    ) -> tuple[Layout, Block]:
        """The places, and the words at the top, which get what the chanter leaves.

        A staff has room where all things to mend can be seen beside it that are seen without; for it their words stand
        closer together, and the large line is less large.
        """
        page = Page.of(width, height, self.measure)
        rows = hint_rows(self._foot(state, display), page.inner, self.measure)

        def tried(foot: float, manner: Manner, of_staff: Lines) -> _Tried:
            bare = lay_out(page, rows, Print.NORMAL, NO_LINES, foot)
            least = height * LEAST_CHANTER_SHARE
            room = page.title_height + bare.foot_y - bare.chanter_top - least - of_staff.least * page.line
            words = self._words(state, display, page, Room(room, manner), self.measure, now_s)
            lines = (words.height - page.title_height) / page.line
            layout = lay_out(page, rows, display.print, Lines(lines, lines), foot, staff_lines=of_staff)
            tall = layout.foot_y - layout.chanter_top >= least
            return _Tried(layout, words, words.height <= room or (not foot and tall))

        easy = (OVERVIEW_LINES, Manner.EASY)
        ways = (easy, *((0.0, manner) for manner in Manner))
        alone = (tried(*way, NO_LINES) for way in ways)
        chosen = next((each for each in alone if each.fits), None) or tried(*ways[-1], NO_LINES)
        wanted = lines_for(staff, display) if state.beside else NO_LINES
        beside = (tried(*way, wanted) for way in ways[:-1]) if wanted.least else ()
        chosen = next((each for each in beside if each.has_staff and each.rows >= chosen.rows), chosen)
        layout, words = chosen.layout, chosen.words
        return replace(layout, px_per_s=layout.px_per_s * PX_SHARE * float(state.slow_down**_CLOSENESS)), words

    @staticmethod
    def _names_what_sounds(state: TakeState) -> bool:
        """Whether the large line is the note that sounds: where nothing that is to be mended is marked."""
        return state.matter is None and not faultless(state)

    def grab_at(
        self,
        state: TakeState,
        display: Display,
        at: tuple[float, float],
        now_s: float,
        size: tuple[int, int],
        staff: StaffSource | None = None,
    ) -> Grab | None:
        """The lanes, to be dragged through time, and the notes on the staff; None beside them."""
        layout = self.layout(state, display, *size, staff)
        sounds = _sounds_beside(state)
        shown = self._staff_shown(sounds, display, layout, now_s, staff)
        if shown and sounds and layout.staff.holds(*at):
            return sought_on_staff(shown, sounds.schedule, at)
        if not layout.lanes.holds(*at):
            return None
        time_at = partial(_time_at, now_s=now_s, layout=layout)
        return dragged_lanes(time_at(at[0]), now_s, time_at)

    def _lines(self, state: TakeState, now_s: float, layout: Layout) -> list[Mark]:
        """The lanes: what was asked, and over it, unless that sounds itself, what was played and found."""
        if state.asked and state.sounding is SoundedSide.ASKED:
            return self._ribbon(state.asked, layout).marks(now_s, state.loop)

        x_at = _x_at(now_s, layout)
        first_s = now_s - layout.now_x / layout.px_per_s
        last_s = now_s + (layout.width - layout.now_x) / layout.px_per_s
        inside = [
            m for m, after in zip(state.moments, _ends(state), strict=True) if m.at_s < last_s and after > first_s
        ]
        end_s = min(last_s, state.take.end_s)
        unsure = [each for each in _unsure(state) if each.start_s < end_s and each.end_s > first_s]
        if state.beside is None:
            return full_lines(inside, end_s, x_at, layout, unsure)
        return [
            *self._ribbon(state.beside, layout).marks(now_s, state.loop),
            *thin_lines(inside, end_s, x_at, layout, unsure),
            *quiet_arrows(_quiet(state), x_at, layout),
            *finding_marks((each for each in _others(state) if each is not _stood_at(state, now_s)), x_at, layout),
        ]

    def _ribbon(self, asked: AskedTune, layout: Layout) -> Ribbon:
        if self._kept is None or self._kept[0] is not asked or self._kept[1] != layout:
            ribbon = Ribbon(asked.schedule, asked.lanes, layout, Timing(), self.measure)
            self._kept = asked, layout, ribbon
        return self._kept[2]

    def _note(self, state: TakeState, now_s: float, layout: Layout) -> Iterator[Mark]:
        words = share_heard(state) or sounding_words(state, now_s)
        role = Role.INK if words else Role.QUIET
        yield Label(layout.header.x, layout.page.title_y, words or "silence", Style.LARGE, role)

    def _place(self, state: TakeState, layout: Layout) -> Iterator[Label]:
        heading = state.take.heading
        page, right = layout.page, layout.header.right
        room = layout.header.width * 0.55
        title = fitted(f"Take of {heading.shown_title}", Style.STRONG, room, self.measure)
        yield Label(right, page.beside_title(), title, Style.STRONG, Role.INK, Anchor.RIGHT)
        told = f"{heading.began.astimezone():%Y-%m-%d %H:%M}, on {short_name(heading.source)}"
        if state.review and state.review.own:
            told = f"in your setting: {state.review.own}"
        told = fitted(told, Style.TEXT, room, self.measure)
        yield Label(right, page.beside_title(1), told, Style.TEXT, Role.QUIET, Anchor.RIGHT)


def _unsure(state: TakeState) -> Iterator[Span]:
    """When it was not sure what was played."""
    notes = state.by_sound.unsure if state.by_sound else ()
    return (Span(each.at_s, each.stop_s) for each in notes)


def _sounds_beside(state: TakeState) -> AskedTune | None:
    """What was asked as it lies beside what sounds: as it should go, or as the take has it."""
    return state.asked if state.sounding is SoundedSide.ASKED else state.beside


def _on_staff(shown: StaffShown | None, sounds: AskedTune | None, state: TakeState, now_s: float) -> Iterator[Mark]:
    """Yield what is marked on the staff: the note that was asked now, and where something was found."""
    if shown is None or sounds is None:
        return
    schedule = sounds.schedule
    if schedule.events and schedule.events[0].start_s <= now_s:
        yield from sounding_marks(shown, schedule, schedule.event_index_at(now_s))
    findings = state.review.findings if state.review else ()
    yield from found_marks(shown, schedule, (findings[rank] for rank in state.lit), _quiet(state))


def _has_overview(layout: Layout) -> bool:
    """Where the window is too low for it, the whole take as a line gives way to the chanter."""
    return layout.footer.y - layout.beats_y >= layout.line * OVERVIEW_LINES


def _time_at(x: float, now_s: float, layout: Layout) -> float:
    """The moment of the take that stands at an x when it is `now_s`."""
    return now_s + (x - layout.now_x) / layout.px_per_s


def _x_at(now_s: float, layout: Layout) -> Callable[[float], float]:
    """Where a moment of the take stands when it is `now_s`."""
    return lambda time_s: layout.now_x + (time_s - now_s) * layout.px_per_s


def _others(state: TakeState) -> Iterator[Finding]:
    """The findings that are lit and not looked at."""
    findings = state.review.findings if state.review else ()
    return (findings[rank] for rank in state.lit if rank != state.chosen)


def _quiet(state: TakeState) -> Iterator[Finding]:
    """The findings that are not lit."""
    findings, lit = state.review.findings if state.review else (), set(state.lit)
    return (finding for rank, finding in enumerate(findings) if rank not in lit)


def _looked_at(state: TakeState, now_s: float, layout: Layout, display: Display) -> Iterator[Mark]:
    """The finding that is looked at: on its lanes, and on its fingers while it is heard."""
    finding = state.finding or _stood_at(state, now_s)
    if finding is None or state.sounding is SoundedSide.ASKED:
        return
    heard = 0.0 <= now_s - finding.at_s <= (finding.ms or 0.0) / 1000.0
    yield from chosen_arrow(finding, _x_at(now_s, layout), layout)
    if heard:
        yield from lit_marks(finding, layout, display)
    else:
        yield from chosen_frames(finding, _x_at(now_s, layout), layout)


def _stood_at(state: TakeState, now_s: float) -> Finding | None:
    """The lit finding at which the take stands, which would be hidden by the chanter."""
    return next((each for each in _others(state) if abs(each.at_s - now_s) <= _STANDS_WITHIN_S), None)


def _ends(state: TakeState) -> Sequence[float]:
    return [*(each.at_s for each in state.moments[1:]), state.take.end_s][: len(state.moments)]
