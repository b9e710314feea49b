"""Draws free play: the chanter and lanes of the playing screen, nothing asked, the last seconds flowing to the left."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from companion.window.core.display import Display
from companion.window.core.hands import hand_marks
from companion.window.core.hints import Hint, hint_marks, hint_rows
from companion.window.core.layout import Layout, lay_out
from companion.window.core.marks import Anchor, Label, Mark, Measure, Picture, Role, Rule, Style
from companion.window.core.page import Page
from companion.window.core.wording import fitted
from companion.window.lanes.played_in import Light, PlayedIn, Tells
from companion.window.lanes.played_marks import cap_marks, full_lines, light_marks, told_words
from companion.window.lanes.trail import Moment, lanes_of

NOW_SHARE = 0.72
PX_SHARE = 0.6  # of the pixels a second of a tune at full speed
NAMED_S = 0.15  # notes shorter than this, gracenotes among them, are not named below the lanes
CHART_FINGERS = "fingers as in the chart"
NOTES_ONLY = f"only its notes are known: {CHART_FINGERS}"
NO_INSTRUMENT = "choose an instrument with P, or play on these keys with I"


class FreeView:
    """Makes pictures of what is played in."""

    def __init__(self, measure: Measure) -> None:
        self.measure = measure

    def picture(
        self, played: PlayedIn, hints: Sequence[Hint], display: Display, now_s: float, width: int, height: int
    ) -> Picture:
        """The picture when the clock of the messages shows `now_s`, `width` x `height` pixels."""
        layout = self.layout(hints, display, width, height)
        foot_marks, targets = hint_marks(hints, layout.footer, self.measure)
        still: list[Mark] = [*lane_marks(layout), *foot_marks]
        scale = layout.px_per_s * PX_SHARE

        def x_at(time_s: float) -> float:
            return layout.now_x + (time_s - now_s) * scale

        moving: list[Mark] = [
            *full_lines(played.moments, now_s, x_at, layout),
            *self._names(played.moments, now_s, scale, layout),
            *hand_marks(lanes_of(played.moments, now_s), now_s, 1.0, layout, display),
            *cap_marks(played.caps, layout, display, self.measure),
            *self._header(played, layout),
        ]
        return Picture(width, height, tuple(still), tuple(moving), tuple(targets))

    def layout(self, hints: Sequence[Hint], display: Display, width: int, height: int) -> Layout:
        """The layout at that size; the present stands further to the right than beside a tune."""
        page = Page.of(width, height, self.measure)
        rows = hint_rows(hints, page.inner, self.measure)
        return replace(lay_out(page, rows, display.print), now_x=width * NOW_SHARE)

    def _names(self, moments: Sequence[Moment], now_s: float, scale: float, layout: Layout) -> Iterator[Label]:
        """Yield the names of notes that lasted, under where they began, as many as have room."""
        free_x = float("-inf")
        for moment, until_s in zip(moments, [*(each.at_s for each in moments[1:]), now_s], strict=False):
            x = layout.now_x + (moment.at_s - now_s) * scale
            if moment.note is None or until_s - moment.at_s < NAMED_S or x < free_x:
                continue
            yield Label(x, layout.names_y, moment.note.label, layout.words.notes, Role.QUIET)
            free_x = x + self.measure.width(moment.note.label, layout.words.notes) + layout.line * 0.5

    def _header(self, played: PlayedIn, layout: Layout) -> Iterator[Mark]:
        note = played.now.note
        words = note.label if note is not None else "silence"
        yield Label(
            layout.header.x,
            layout.page.title_y,
            words,
            Style.LARGE,
            Role.INK if note is not None else Role.QUIET,
        )
        below = layout.page.below_title()
        room = layout.now_x - layout.header.x - layout.line * 2
        ways = hole_words(played)
        said = next((way for way in ways if self.measure.width(way, Style.TEXT) <= room), ways[-1])
        yield Label(layout.header.x, below, fitted(said, Style.TEXT, room, self.measure), role=Role.QUIET)
        yield from self._right(played, layout, layout.header.width - self.measure.width(words, Style.LARGE))

    def _right(self, played: PlayedIn, layout: Layout, room: float) -> Iterator[Mark]:
        first, second, third = map(layout.page.beside_title, range(3))
        yield Label(layout.header.right, first, "Free play", Style.STRONG, Role.INK, Anchor.RIGHT)
        room -= layout.line
        words = told_words(played)
        yield from light_marks(played.light, words, Role.QUIET, second, room, layout, self.measure, played.level)
        yield from light_marks(Light.OFF, played.problem, Role.FAULT, third, room, layout, self.measure)


def hole_words(played: PlayedIn) -> tuple[str, ...]:
    """The words for the hole state, or for why there is none; a shorter way after the full one."""
    if played.light is Light.OFF:
        return (NO_INSTRUMENT,)
    if played.tells is Tells.NOTES:
        return NOTES_ONLY, CHART_FINGERS
    thumb, upper, lower = str(played.now.state).split()
    holes = f"thumb {thumb}, upper hand {upper}, lower hand {lower}"
    return f"{holes} (x closed, o open)", f"x closed, o open: {thumb} {upper} {lower}"


def lane_marks(layout: Layout) -> Iterator[Rule]:
    """Yield the lines of the lanes."""
    for y in layout.lane_ys:
        yield Rule(0, y, layout.width, y, Role.HAIR)
