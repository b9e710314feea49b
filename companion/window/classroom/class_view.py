"""Draws a class: the chanter, the embellishment in hand, the list at the side, and the players or words for one."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from companion.schedule.events import EventKind
from companion.window.classroom.class_keys import HIDDEN_KEYS
from companion.window.classroom.class_layout import ClassLayout, lay_out_class
from companion.window.classroom.class_state import ClassShown
from companion.window.classroom.plan import PlanItem
from companion.window.classroom.player_marks import player_marks, words_marks
from companion.window.core.actions import LeadTo
from companion.window.core.display import Display
from companion.window.core.hands import hand_marks
from companion.window.core.hints import Hint, hint_marks, hint_rows, said
from companion.window.core.list_view import LEAST_ROW_PX
from companion.window.core.marks import (
    Anchor,
    Arch,
    Dot,
    Foot,
    Label,
    Mark,
    Measure,
    Picture,
    Rect,
    Role,
    Rule,
    Style,
    Target,
    Wash,
)
from companion.window.core.screen import Canvas
from companion.window.core.wording import fitted
from companion.window.embellishments.strips import strip_marks
from companion.window.embellishments.subject import subject_near
from companion.window.lanes.header import asked_words
from companion.window.lanes.lane_marks import ALWAYS, LaneStyle, Sight, lane_marks
from companion.window.lanes.ribbon import ARCH_MM, STRIPE_MM, scale_px_per_s
from companion.window.staff.staff_marks import StaffShown, sounding_marks
from companion.window.staff.staff_room import lines_for
from companion.window.staff.staff_view import StaffView

NO_EMBELLISHMENT = "no gracenotes here"
DOT_LINES = 0.2
TITLE_LINES = 1.5
COMING = "then "


def class_picture(shown: ClassShown, hints: Sequence[Hint], canvas: Canvas, lines: StaffView) -> Picture:
    """The picture; `hints` are the keys at its foot while nothing is hidden: the chanter then stays where it stands.

    lines: chooses the line of staff.
    """
    page, display, measure = canvas.page, canvas.display, canvas.measure
    footer = page.footer(hint_rows(hints, page.inner, measure)).on_pixels
    places = lay_out_class(page, footer, display.print, measure, lines_for(shown.staff, display))
    at_foot = said(HIDDEN_KEYS, shown.play, display) if shown.hidden else hints
    foot_marks, foot_targets = hint_marks(at_foot, footer, measure)
    foot = Foot(footer.y, tuple(foot_marks), fades=shown.hidden or shown.play.playing)
    if shown.hidden:
        chanter = hand_marks(shown.play.lanes, shown.now_s, shown.play.timing.slow_down, places.chanter, display)
        return Picture(canvas.width, canvas.height, (), tuple(chanter), tuple(foot_targets), foot)
    line = _staff(shown, places, display, lines)
    hairs = (Rule(places.band.x, y, places.band.right, y, Role.HAIR) for y in places.chanter.lane_ys)
    still = (*hairs, *(line.marks if line else ()))
    listed, list_targets = _list(shown, places, display, measure)
    players, player_targets = _players(shown, places, display, measure)
    moving = [*_lanes(shown, places), *_chanter(shown, places, display), *_in_hand(shown, places, measure)]
    if line and not shown.count:
        moving += sounding_marks(line, shown.play.schedule, shown.play.schedule.event_index_at(shown.now_s))
    targets = (*foot_targets, *list_targets, *player_targets)
    return Picture(canvas.width, canvas.height, still, (*moving, *listed, *players), targets, foot)


def _staff(shown: ClassShown, places: ClassLayout, display: Display, lines: StaffView) -> StaffShown | None:
    """The line of staff; None where it has no room, and while it is not ready."""
    if shown.staff is None or not shown.staff.is_ready or not places.staff.height:
        return None
    play, now_s = shown.play, _sounds_s(shown)
    return lines.shown(
        shown.staff, play.tune, play.schedule, places.staff, display.print, now_s, play.span, runs=play.playing
    )


def _lanes(shown: ClassShown, places: ClassLayout) -> Iterator[Mark]:
    """Yield the lanes within the band around the chanter."""
    band, layout = places.band, places.chanter
    scale = scale_px_per_s(layout, shown.play.timing)
    thickness = STRIPE_MM * layout.mm
    style = LaneStyle(band.x, band.right, layout.now_x, thickness, ARCH_MM * layout.mm)
    first_s, last_s = (shown.now_s + (x - layout.now_x) / scale for x in (band.x, band.right))
    starts_s = shown.count.place_s if shown.count else float("-inf")
    sight = Sight(shown.now_s, first_s, last_s, starts_s, shown.play.span or ALWAYS)
    for lane in shown.play.lanes:
        y = layout.lane_y(lane.finger)
        for mark in lane_marks(lane, sight, lambda time_s: layout.now_x + (time_s - shown.now_s) * scale, y, style):
            if not isinstance(mark, Arch) or (band.x <= mark.x0 and mark.x1 <= band.right):
                yield mark


def _sounds_s(shown: ClassShown) -> float:
    return max(shown.now_s, shown.count.place_s) if shown.count else shown.now_s


def _chanter(shown: ClassShown, places: ClassLayout, display: Display) -> Iterator[Mark]:
    """Yield the chanter with its fingers, and below it the name of the melody note that sounds."""
    now_s, play, layout = _sounds_s(shown), shown.play, places.chanter
    yield from hand_marks(play.lanes, now_s, play.timing.slow_down, layout, display)
    if places.note_y is None:
        return
    event = play.schedule.events[play.schedule.event_index_at(now_s)]
    melody = play.schedule.played[event.played].note.note
    words = melody.label if melody is not None and event.kind is not EventKind.REST else "rest"
    yield Label(layout.now_x, places.note_y, words, Style.STRONG, Role.INK, Anchor.CENTRE)


def _in_hand(shown: ClassShown, places: ClassLayout, measure: Measure) -> Iterator[Mark]:
    """Yield the embellishment that is played now, or comes next: its name, its gracenotes, and its strip."""
    schedule, title = shown.play.schedule, places.title
    now_s = _sounds_s(shown)
    subject = subject_near(schedule, now_s)
    if subject is None:
        yield from _largest(shown.play.tune.title or NO_EMBELLISHMENT, title, Role.INK, measure)
        return
    here = schedule.embellishments[schedule.events[schedule.event_index_at(now_s)].played]
    embellishment = subject.embellishment
    words = asked_words(embellishment.onto, embellishment)
    yield from _largest(words if here else f"{COMING}{words}", title, Role.INK if here else Role.QUIET, measure)
    yield from strip_marks(subject, places.strip)
    if places.spelled_y is not None:
        spelled = " ".join(note.label for note in embellishment.gracenotes)
        text = fitted(spelled, Style.STRONG, places.page.inner, measure)
        yield Label(title.x, places.spelled_y, text, Style.STRONG, Role.QUIET)


def _largest(words: str, room: Rect, role: Role, measure: Measure) -> Iterator[Label]:
    """Yield words in the largest type that has room for all of them."""
    styles = (Style.LARGE, Style.MEDIUM)
    style = next((each for each in styles if measure.width(words, each) <= room.width), Style.MEDIUM)
    yield Label(room.x, room.y + room.height / 2, fitted(words, style, room.width, measure), style, role)


def _list(
    shown: ClassShown, places: ClassLayout, display: Display, measure: Measure
) -> tuple[list[Mark], list[Target]]:
    """The tune's title and below it as many items as have room, the current one among them: done ones behind a disc,
    others behind a ring."""
    area, items, line = places.list, shown.items, places.page.line
    if area is None or not items:
        return [], []
    title = fitted(shown.play.tune.title, Style.STRONG, area.width, measure)
    marks: list[Mark] = [Label(area.x, area.y + line * 0.6, title, Style.STRONG)] if title.strip() else []
    area = replace(area, y=area.y + line * TITLE_LINES, height=area.height - line * TITLE_LINES)
    height = max(LEAST_ROW_PX[display.print], line * 1.5)
    room = max(1, int(area.height // height))
    current = next((rank for rank, item in enumerate(items) if item.current), 0)
    first = min(max(0, current - room // 2), max(0, len(items) - room))
    targets: list[Target] = []
    for rank in range(first, min(first + room, len(items))):
        row = Rect(area.x, area.y + (rank - first) * height, area.width, height)
        marks += _row(items[rank], row, line, measure)
        targets.append(Target(row, LeadTo(rank)))
    return marks, targets


def _row(item: PlanItem, row: Rect, line: float, measure: Measure) -> Iterator[Mark]:
    if item.current:
        yield Wash(row, Role.WASH, 6.0)
    y, style = row.y + row.height / 2, Style.STRONG if item.current else Style.TEXT
    yield Dot(row.x + line * 0.6, y, line * DOT_LINES, Role.PLAYED, filled=item.done)
    left = row.x + line * 1.2
    words = fitted(item.words, style, row.right - left - line * 0.2, measure)
    yield Label(left, y, words, style, Role.INK if item.current else Role.QUIET)


def _players(
    shown: ClassShown, places: ClassLayout, display: Display, measure: Measure
) -> tuple[list[Mark], list[Target]]:
    area = places.players
    if area is None:
        return [], []
    if shown.words:
        return list(words_marks(shown.words, area, places.page, measure)), []
    return player_marks(shown.learners, shown.marked, shown.at_s, area, places.page, display, measure)
