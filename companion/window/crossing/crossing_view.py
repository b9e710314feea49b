"""Draws the crossing screen as a picture: lanes on the left, the orders of the fingers on the right."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import partial

from companion.schedule.crossing import Noise
from companion.schedule.events import Schedule
from companion.schedule.timing import Timing
from companion.window.core.display import Display
from companion.window.core.hands import hand_marks
from companion.window.core.hints import hint_marks, hint_rows
from companion.window.core.layout import Layout, Lines, lay_out
from companion.window.core.marks import Frame, Label, Mark, Measure, Picture, Rect, Role, Rule, Style, Wash
from companion.window.core.page import Page
from companion.window.core.screen import Grab, dragged_lanes
from companion.window.core.wording import capital, wrapped, wrapped_within
from companion.window.crossing.crossing_keys import CROSSING_KEYS
from companion.window.crossing.crossing_state import CrossingState
from companion.window.crossing.paths_view import WORDS_LINES, PathsPanel, node_of, visited
from companion.window.lanes.ribbon import STRIPE_MM, Ribbon

LANES_SHARE = 0.585  # of the width, for what is played
PANEL_FROM = 0.625  # where in the width the orders begin
NOW_SHARE = 0.40  # where in the lanes the chanter stands
LANE_PX_PER_WIDTH_S = 0.8  # closer than on the playing screen: some ms are to be seen


@dataclass(frozen=True, slots=True)
class CrossingLayout:
    """Where things stand: the layout of the lanes, the plot of the orders, the lines of the sentence to teach."""

    layout: Layout
    plot: Rect
    sentence: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Kept:
    """What depends only on a schedule and a layout, computed once."""

    schedule: Schedule
    places: CrossingLayout
    ribbon: Ribbon
    panel: PathsPanel


class CrossingView:
    """Makes pictures of crossing states, and caches what depends only on the schedule and the layout."""

    def __init__(self, measure: Measure) -> None:
        self.measure = measure
        self._kept: _Kept | None = None

    def picture(self, state: CrossingState, display: Display, now_s: float, width: int, height: int) -> Picture:
        """The picture at `now_s` of the schedule, `width` x `height` pixels."""
        places = self.places(state, display, width, height)
        layout = places.layout
        kept = self._worked_out(state, places)
        keys, targets = hint_marks(CROSSING_KEYS.at_foot(state, display), layout.footer, self.measure)
        transition = state.named.transition
        played = visited(transition, (each.state for each in state.schedule.states))
        now = state.schedule.states[state.schedule.state_index_at(now_s)].state
        still = [*kept.ribbon.still_marks(), *keys, *self._header(state, places), *kept.panel.marks(played)]
        moving = [
            *self._noise_marks(state, kept.ribbon, layout, now_s),
            *self._lanes(state, kept.ribbon, layout, now_s),
            *_late_marks(state, kept.ribbon, layout, now_s),
            *hand_marks(state.lanes, now_s, state.slow_down, layout, display),
            kept.panel.here(node_of(transition, now)),
        ]
        return Picture(width, height, tuple(still), tuple(moving), tuple(targets))

    def places(self, state: CrossingState, display: Display, width: int, height: int) -> CrossingLayout:
        """The layout of the screen at that size."""
        page = Page.of(width, height, self.measure)
        rows = hint_rows(CROSSING_KEYS.at_foot(state, display), page.inner, self.measure)
        text = capital(state.crossing.lesson.sentence) + "."
        wanted = len(wrapped(text, Style.TEXT, page.inner, self.measure))
        whole = lay_out(page, rows, display.print, Lines(wanted, 1.0))
        sentence = tuple(wrapped_within(text, Style.TEXT, page.inner, whole.header_lines, self.measure))
        lanes = replace(
            whole,
            width=round(width * LANES_SHARE),
            lanes=replace(whole.lanes, width=width * LANES_SHARE),
            now_x=width * LANES_SHARE * NOW_SHARE,
            px_per_s=width * LANE_PX_PER_WIDTH_S,
        )
        left = width * PANEL_FROM
        inset = whole.line * 0.2
        top = whole.lanes.y + inset
        bottom = min(whole.lanes.bottom, whole.footer.y - whole.line * WORDS_LINES)
        plot = Rect(left, top, width - page.margin - left, bottom - top)
        return CrossingLayout(lanes, plot, sentence)

    def grab_at(
        self, state: CrossingState, display: Display, at: tuple[float, float], now_s: float, size: tuple[int, int]
    ) -> Grab | None:
        """The lanes, to be dragged through time; None beside them."""
        places = self.places(state, display, *size)
        if not places.layout.lanes.holds(*at):
            return None
        time_at = partial(self._worked_out(state, places).ribbon.time_at, now_s=now_s)
        return dragged_lanes(time_at(at[0]), now_s, time_at)

    def _worked_out(self, state: CrossingState, places: CrossingLayout) -> _Kept:
        kept = self._kept
        if kept is None or kept.schedule is not state.schedule or kept.places != places:
            timing = Timing(slow_down=state.slow_down)
            ribbon = Ribbon(state.schedule, state.lanes, places.layout, timing, self.measure)
            panel = PathsPanel(state.crossing, places.plot, self.measure)
            kept = self._kept = _Kept(state.schedule, places, ribbon, panel)
        return kept

    def _header(self, state: CrossingState, places: CrossingLayout) -> Iterator[Mark]:
        layout = places.layout
        yield Label(layout.header.x, layout.page.title_y, str(state.named), Style.LARGE)
        for rank, text in enumerate(places.sentence):
            yield Label(layout.header.x, layout.page.below_title(rank), text)
        yield from self._version(state, layout)

    def _version(self, state: CrossingState, layout: Layout) -> Iterator[Mark]:
        """Yield the words for the version that is played, beside the top of the chanter."""
        x = layout.now_x + layout.tube
        y = layout.lanes.y - layout.line * 1.15
        if state.late is None:
            yield Label(x, y, "clean, as taught", Style.STRONG, Role.GUIDE)
            return
        finger, ms = state.late
        late = f"{ms:g} ms late"
        ways: tuple[str, ...] = (f"{finger.label} {late}", late)
        role = Role.FAULT if state.noises else Role.PLAYED
        if not state.noises:
            ways = (f"{ways[0]}: clean", *ways)
        fits = (each for each in ways if x + self.measure.width(each, Style.STRONG) <= layout.width)
        yield Label(x, y, next(fits, late), Style.STRONG, role)

    def _lanes(self, state: CrossingState, ribbon: Ribbon, layout: Layout, now_s: float) -> Iterator[Mark]:
        """Yield the lanes; a word under them is left out while it would reach over their ends, or into those for the
        noise, with which it shares a row where there is little room."""
        heard = [mark for mark in self._noise_marks(state, ribbon, layout, now_s) if isinstance(mark, Label)]
        for mark in ribbon.marks(now_s, None):
            if not isinstance(mark, Label) or (
                self._inside(mark, layout) and not any(self._meet(mark, each) for each in heard)
            ):
                yield mark

    def _meet(self, one: Label, other: Label) -> bool:
        """Whether words that begin at their x would lie over one another."""
        left, right = sorted((one, other), key=lambda label: label.x)
        return one.y == other.y and left.x + self.measure.width(left.text, left.style) > right.x

    def _inside(self, label: Label, layout: Layout) -> bool:
        return label.x >= 0 and label.x + self.measure.width(label.text, label.style) <= layout.width

    def _noise_marks(self, state: CrossingState, ribbon: Ribbon, layout: Layout, now_s: float) -> Iterator[Mark]:
        for noise in state.noises:
            rect = noise_rect(noise, ribbon, layout, now_s)
            if rect.right <= 0 or rect.x >= layout.width:
                continue
            seen = Rect(rect.x, rect.y, min(rect.right, layout.width) - rect.x, rect.height)
            yield Wash(seen, Role.WASH, 6.0)
            yield Frame(seen, Role.FAULT, 2.6)
            words = f"{noise.note.label} heard, {noise.lasts_ms:.0f} ms"
            room = layout.width - layout.margin * 0.5 - self.measure.width(words, Style.STRONG)
            x = max(layout.margin * 0.5, min(rect.x, room))
            yield Label(x, layout.names_y, words, Style.STRONG, Role.FAULT)


def noise_rect(noise: Noise, ribbon: Ribbon, layout: Layout, now_s: float) -> Rect:
    """The rectangle in the lanes in which a foreign note is heard."""
    x0, x1 = ribbon.x_at(noise.start_s, now_s), ribbon.x_at(noise.end_s, now_s)
    return Rect(x0, layout.strokes_top, x1 - x0, layout.strokes_bottom - layout.strokes_top)


def _late_marks(state: CrossingState, ribbon: Ribbon, layout: Layout, now_s: float) -> Iterator[Mark]:
    """A bracket under the late finger's lane, from when it should have moved to when it does."""
    if state.late is None:
        return
    x0, x1 = ribbon.x_at(state.moment_s, now_s), ribbon.x_at(state.schedule.states[-1].at_s, now_s)
    x0, x1 = max(0.0, x0), min(float(layout.width), x1)
    if x0 >= x1:
        return
    role = Role.FAULT if state.noises else Role.PLAYED
    thickness = STRIPE_MM * layout.mm
    y = layout.lane_y(state.late[0]) + thickness * 1.05
    yield Rule(x0, y, x1, y, role, 3.0)
    for x in (x0, x1):
        yield Rule(x, y - thickness * 0.45, x, y + thickness * 0.45, role, 3.0)
