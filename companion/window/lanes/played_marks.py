"""Draws what is played in: thin lines under the asked lanes, rings beside the holes, and a line of words."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence

from companion.schedule.spans import Span
from companion.window.core.display import Display
from companion.window.core.hands import side_of
from companion.window.core.layout import ARROW_AWAY_MM, TUBE_MM, Layout
from companion.window.core.marks import Anchor, Dot, Frame, Label, Mark, Measure, Rect, Role, Rule, Stripe, Style, Wash
from companion.window.core.wording import fitted, wrapped_whole, wrapped_within
from companion.window.lanes.played_in import LEVEL_STEPS, Light, PlayedIn
from companion.window.lanes.ribbon import STRIPE_MM
from companion.window.lanes.trail import REST, Moment, sounding_runs
from fingering.holes import Finger

THIN_MM = 1.5
LIGHT_LINES = 0.22  # radius of a light beside words
GAP_MM = 1.1
LEVEL_LINES = 1.6  # how wide the bars are that tell how loud a microphone is, all together
RING_MM = 2.4
RING_AWAY_MM = 5.2  # between the wood and the middle of a ring
CAP_AWAY_MM = 2.0  # between an arrow, which stands beside its finger, and the cap of the key that plays it
_RAISED_LINE = 0.2  # of a line, by which two rows stand higher than one, so that the lower one is clear of the lanes
MOST_NEWS_ROWS = 2  # of words about what was read again, above the lanes
_CAP_SHARE = 0.75  # of a line: so tall are letters, and a little more
_CLOSEST_PX = 1.5  # lines that are no further apart are drawn as one
_SHORTEST_PX = 2.0
_SHORTEST_DASH_PX = 3.0
_DASH_SHARE = 0.6  # of the thickness of a line that is not broken
_CLOSE_LINE = 0.9  # of a line, from a row of words to the one below it, where two stand above the lanes


def thin_lines(
    moments: Sequence[Moment],
    end_s: float,
    x_at: Callable[[float], float],
    layout: Layout,
    unsure: Sequence[Span] = (),
) -> list[Mark]:
    """What was played up to `end_s` as thin lines, each just below the lane of its finger.

    unsure: when it is not sure what was played, in order; there the lines are broken.
    """
    thickness = max(2.5, THIN_MM * layout.mm)
    below = (STRIPE_MM / 2 + GAP_MM) * layout.mm + thickness / 2
    return [*_lines(moments, end_s, x_at, layout, below, thickness, unsure)]


def full_lines(
    moments: Sequence[Moment],
    end_s: float,
    x_at: Callable[[float], float],
    layout: Layout,
    unsure: Sequence[Span] = (),
) -> list[Mark]:
    """What was played up to `end_s` as the lanes themselves, for where nothing is asked; `unsure` as in thin lines."""
    return [*_lines(moments, end_s, x_at, layout, 0.0, STRIPE_MM * layout.mm, unsure)]


def _lines(
    moments: Sequence[Moment],
    end_s: float,
    x_at: Callable[[float], float],
    layout: Layout,
    below: float,
    thickness: float,
    unsure: Sequence[Span],
) -> Iterator[Stripe | Rule]:
    doubts = [*_joined((x_at(each.start_s), x_at(each.end_s)) for each in unsure)]
    for finger in Finger:
        y = layout.lane_y(finger) + below
        pixels = ((x_at(start_s), x_at(stop_s)) for start_s, stop_s in sounding_runs(moments, end_s, finger))
        for x0, x1 in _joined(pixels):
            left, right = max(x0, -thickness), min(x1, layout.width + thickness)
            if right <= left:
                continue
            for begin, stop, is_sure in _parted(left, right, doubts):
                if is_sure:
                    yield Stripe(begin, stop, y, thickness, Role.PLAYED)
                else:
                    yield from broken_line(begin, stop, y, thickness)


def broken_line(left: float, right: float, y: float, thickness: float) -> Iterator[Rule]:
    """Yield a line in short pieces: what may have been. It ends where a whole one would."""
    step = max(_SHORTEST_DASH_PX, thickness) * 2.0
    count = max(1, round((right - left) / step + 0.5))
    step = (right - left) / (count - 0.5)
    for rank in range(count):
        x = left + rank * step
        yield Rule(x, y, x + step / 2, y, Role.PLAYED, thickness * _DASH_SHARE)


def _parted(left: float, right: float, doubts: Sequence[tuple[float, float]]) -> Iterator[tuple[float, float, bool]]:
    """Yield the parts of a line, and whether each is sure."""
    x = left
    for begin, stop in doubts:
        begin, stop = max(begin, x), min(stop, right)
        if begin < stop:
            if x < begin:
                yield x, begin, True
            yield begin, stop, False
            x = stop
    if x < right:
        yield x, right, True


def _joined(runs: Iterable[tuple[float, float]]) -> Iterator[tuple[float, float]]:
    """Yield the runs, joined where hardly a pixel lies between, so that no flood of messages floods the picture."""
    held: tuple[float, float] | None = None
    for x0, x1 in runs:
        wide = max(x1, x0 + _SHORTEST_PX)
        if held and x0 - held[1] <= _CLOSEST_PX:
            held = held[0], max(held[1], wide)
        else:
            if held:
                yield held
            held = x0, wide
    if held:
        yield held


def played_marks(played: PlayedIn, layout: Layout, display: Display, measure: Measure) -> list[Mark]:
    """What is played now, beside what is asked: rings, keys, the note, the light and its words."""
    rings = ring_marks(played.now, layout, display) if played.now is not REST else ()
    return [
        *rings,
        *cap_marks(played.caps, layout, display, measure),
        *note_marks(played, layout, measure),
        *told_marks(played, layout, measure),
    ]


def ring_marks(now: Moment, layout: Layout, display: Display) -> Iterator[Mark]:
    """Yield a disc beside each hole that the player closes now, a ring if open, on the side away from its finger."""
    radius = max(3.5, RING_MM * layout.mm)
    for finger in Finger:
        x = layout.now_x - side_of(finger, display).sign * (TUBE_MM / 2 + RING_AWAY_MM) * layout.mm
        y = layout.lane_y(finger)
        yield Dot(x, y, radius + 2.0, Role.GROUND)
        yield Dot(x, y, radius, Role.PLAYED, filled=now.state.closed(finger))


def cap_marks(caps: Sequence[str], layout: Layout, display: Display, measure: Measure) -> Iterator[Mark]:
    """Yield the computer's keys that play, each framed beside its finger: a letter alone would look like an open hole.

    In close lanes every other one stands further out, and may be nearly twice as tall as its lane.
    """
    crowded = layout.lane < measure.height(Style.STRONG) * _CAP_SHARE
    apart = min(layout.lane * 2.0, layout.lane_ys[1] - layout.lane_ys[0]) if crowded else layout.lane
    height = min(layout.line * 1.05, apart - 2.0)
    for finger, cap in zip(Finger, caps, strict=False):
        sign = side_of(finger, display).sign
        width = max(height, measure.width(cap, Style.STRONG) + layout.line * 0.5)
        further = layout.line * 1.6 if crowded and finger % 2 else 0.0
        near = layout.now_x + sign * ((ARROW_AWAY_MM + CAP_AWAY_MM) * layout.mm + layout.arrow + further)
        y = layout.lane_y(finger)
        left = min(max(near if sign > 0 else near - width, 0.0), layout.width - width)  # in a narrow, tall window
        rect = Rect(left, y - height / 2, width, height)
        yield Wash(rect, Role.GROUND, 5.0)
        yield Frame(rect, Role.PLAYED, 1.6, 5.0)
        yield Label(rect.x + width / 2, y, cap, Style.STRONG, Role.INK, Anchor.CENTRE)


def note_marks(played: PlayedIn, layout: Layout, measure: Measure) -> Iterator[Mark]:
    """Yield the name of the note played, above the lanes on their left, behind a piece of its line."""
    if played.light is Light.OFF:
        return
    x, y = layout.margin, strip_y(layout)
    sample = layout.line * 1.1
    yield Rule(x, y, x + sample, y, Role.PLAYED, max(2.5, THIN_MM * layout.mm))
    words = f"played {played.now.note.label}" if played.now.note is not None else "nothing played"
    room = layout.now_x - layout.tube - x - sample * 1.4
    yield Label(x + sample * 1.4, y, fitted(words, Style.STRONG, room, measure), Style.STRONG, Role.PLAYED)


def told_marks(played: PlayedIn, layout: Layout, measure: Measure) -> Iterator[Mark]:
    """Yield the light and its words, or what is wrong, above the lanes on their right."""
    room = layout.width - layout.margin - layout.now_x - layout.tube - layout.line
    if played.problem:
        yield from light_marks(played.light, played.problem, Role.FAULT, strip_y(layout), room, layout, measure)
        return
    first, *others = told_rows(played, room - layout.line - _level_room(played.level, layout), measure) or [""]
    top = strip_y(layout) - (layout.line * _RAISED_LINE if others else 0.0)
    yield from light_marks(played.light, first, Role.QUIET, top, room, layout, measure, played.level)
    for rank, words in enumerate(others, 1):
        y, right = top + rank * layout.line * _CLOSE_LINE, layout.width - layout.margin
        width = measure.width(words, Style.TEXT)
        yield Wash(Rect(right - width, y - layout.line * 0.4, width, layout.line * 0.8), Role.GROUND)
        yield Label(right, y, words, Style.TEXT, Role.QUIET, Anchor.RIGHT)


def told_rows(played: PlayedIn, room: float, measure: Measure) -> list[str]:
    """What was read again; else what is listened to and where the take goes. The name of its file is always whole: for
    want of room what is listened to gives way, and then the name goes on in another row."""
    if played.news:
        return wrapped_within(played.news, Style.TEXT, room, MOST_NEWS_ROWS, measure)
    words = told_words(played)
    if not played.kept or measure.width(words, Style.TEXT) <= room:
        return [words]
    return wrapped_whole(played.kept, Style.TEXT, room, measure)


def told_words(played: PlayedIn) -> str:
    """What is listened to and where the take goes, in words."""
    return ", ".join(filter(None, (played.words, played.kept)))


def light_marks(
    light: Light,
    words: str,
    role: Role,
    y: float,
    room: float,
    layout: Layout,
    measure: Measure,
    level: int | None = None,
) -> Iterator[Mark]:
    """Yield words at the right and the light before them: filled while messages arrive, else hollow; no flashing.

    level: how loud it is at a microphone, in steps, which stand before the light; None for none.
    """
    if not words:
        return
    right = layout.width - layout.margin
    text = fitted(words, Style.TEXT, room - layout.line - _level_room(level, layout), measure)
    yield Label(right, y, text, Style.TEXT, role, Anchor.RIGHT)
    if light is Light.OFF:
        return
    x = right - measure.width(text, Style.TEXT) - layout.line * 0.6
    yield Dot(x, y, layout.line * LIGHT_LINES, Role.PLAYED, filled=light is Light.ARRIVING)
    if level is not None:
        yield from level_marks(level, x - layout.line * 0.6, y, layout)


def _level_room(level: int | None, layout: Layout) -> float:
    return 0.0 if level is None else layout.line * (LEVEL_LINES + 0.4)


def level_marks(level: int, right: float, y: float, layout: Layout) -> Iterator[Mark]:
    """Yield how loud it is as bars that rise from left to right: as many as are lit are tall, the others flat."""
    pitch = layout.line * LEVEL_LINES / LEVEL_STEPS
    bottom = y + layout.line * 0.3
    for rank in range(LEVEL_STEPS):
        x = right - pitch * (LEVEL_STEPS - rank - 0.5)
        tall = layout.line * (0.2 + 0.4 * (rank + 1) / LEVEL_STEPS)
        top = bottom - (tall if rank < level else max(2.0, layout.line * 0.1))
        width = max(2.0, pitch * 0.55)
        yield Wash(Rect(x - width / 2, top, width, bottom - top), Role.PLAYED)


def strip_y(layout: Layout) -> float:
    """The y of the line of words between header and lanes."""
    return layout.page.words_y(layout.staff.bottom)
