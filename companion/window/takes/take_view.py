"""A take as a picture: the fingers that played it, and beside them, where it is known, what was asked."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from companion.listen.model.findings import Finding
from companion.midi.maps.hole_map import HoleMap
from companion.schedule.events import EventKind
from companion.schedule.timing import Timing
from companion.window.core.actions import Action, Seek
from companion.window.core.display import Display
from companion.window.core.hands import hand_marks
from companion.window.core.hints import Group, Hint, KeyHint, KeyTable, hint_marks, hint_rows
from companion.window.core.layout import Layout, Lines, lay_out
from companion.window.core.look_keys import LOOK_KEYS, MORE_KEY, STEP_KEYS
from companion.window.core.marks import Anchor, Dot, Label, Mark, Measure, Picture, Role, Rule, Style
from companion.window.core.page import Page
from companion.window.core.wording import fitted, wrapped_within
from companion.window.lanes.finding_marks import chosen_arrow, chosen_frames, finding_marks, lit_marks
from companion.window.lanes.played_marks import full_lines, strip_y, thin_lines
from companion.window.lanes.ribbon import Ribbon
from companion.window.live.input_messages import short_name
from companion.window.play.free_view import NOTES_ONLY, PX_SHARE, lane_marks
from companion.window.play.play_keys import slowness
from companion.window.takes.asked_tune import AskedTune
from companion.window.takes.overview import OVERVIEW_LINES, overview_marks
from companion.window.takes.take_moves import chosen_changes
from companion.window.takes.take_state import SoundedSide, TakeState

_CLOSENESS = 0.25  # power of the slow-down by which a played second widens
MOST_TOLD = 3  # lines below the note
NOTHING_BELOW_LINES = -1.6  # a refused take has no overview and no words under the lanes: those of its refusal are many

_PLAY: KeyHint[TakeState] = KeyHint(
    (Action.PLAY,),
    lambda state, display: "pause" if state.playing else "play",
    "Starts and stops the take.",
    Group.HEAR,
)
_FINDING: KeyHint[TakeState] = KeyHint(
    (Action.FINDING_BACK, Action.FINDING_ON),
    lambda state, display: "slip",
    "What was heard before, or after.",
    Group.SEE,
)
_MINE: KeyHint[TakeState] = KeyHint(
    (Action.HEAR_MINE,), lambda state, display: "hear mine", "What you played there.", Group.HEAR
)
_RIGHT: KeyHint[TakeState] = KeyHint(
    (Action.HEAR_RIGHT,), lambda state, display: "hear it right", "How it goes there.", Group.HEAR
)
_VERDICT: KeyHint[TakeState] = KeyHint(
    (Action.VERDICT,), lambda state, display: "what to mend", "What a teacher would say.", Group.LEARN
)
_SETTING: KeyHint[TakeState] = KeyHint(
    (Action.OWN_SETTING,),
    lambda state, display: setting_says(state),
    "Notes that you play otherwise on purpose.",
    Group.LEARN,
)
_SLOW: KeyHint[TakeState] = KeyHint(
    (Action.SLOWER, Action.FASTER),
    lambda state, display: slowness(state.slow_down),
    "How slowly time goes by.",
    Group.HEAR,
    ("slower", "faster"),
)
TAKE_KEYS: KeyTable[TakeState] = KeyTable(
    foot=(_PLAY, _FINDING, _MINE, _RIGHT, _VERDICT, MORE_KEY),
    sheet=(
        _PLAY,
        _SLOW,
        _MINE,
        _RIGHT,
        _FINDING,
        STEP_KEYS,
        KeyHint((Action.START,), lambda state, display: "from the start", "Back to where the take begins.", Group.SEE),
        *LOOK_KEYS,
        _VERDICT,
        _SETTING,
        KeyHint(
            (Action.STRICTNESS,),
            lambda state, display: f"{state.strictness.value} teacher",
            "How small a slip is told.",
            Group.LEARN,
        ),
        KeyHint(
            (Action.LEAVE,),
            lambda state, display: "back to the take" if state.loop else "back",
            "Goes one level back.",
            Group.SEE,
        ),
        MORE_KEY,
    ),
)


class TakeView:
    """Turns a take's state into pictures; what was asked is worked out once for each layout and slow-down."""

    def __init__(self, measure: Measure) -> None:
        self.measure = measure
        self._kept: tuple[AskedTune, Layout, Ribbon] | None = None

    def picture(self, state: TakeState, display: Display, now_s: float, width: int, height: int) -> Picture:
        """The screen when the take stands at `now_s`, `width` x `height` pixels."""
        layout = self.layout(state, display, width, height)
        foot_marks, targets = hint_marks(take_foot(state, display), layout.footer, self.measure)
        still: list[Mark] = [*lane_marks(layout), *foot_marks, *self._place(state, layout)]
        lanes = state.asked.lanes if state.asked and state.sounding is SoundedSide.ASKED else state.lanes
        moving: list[Mark] = [
            *self._lines(state, now_s, layout),
            *overview_marks(state, now_s, layout),
            *hand_marks(lanes, now_s, 1.0, layout, display),
            *_looked_at(state, now_s, layout, display),
            *self._header(state, now_s, layout),
            *self._strip(state, now_s, layout),
        ]
        return Picture(width, height, tuple(still), tuple(moving), tuple(targets))

    def layout(self, state: TakeState, display: Display, width: int, height: int) -> Layout:
        """The places of the screen; a second of the take widens a little as it is slowed down."""
        page = Page.of(width, height, self.measure)
        rows = hint_rows(take_foot(state, display), page.inner, self.measure)
        told, _, _ = self._told(state, state.position_s, page.inner, MOST_TOLD)
        foot_lines = NOTHING_BELOW_LINES if _refused(state) else OVERVIEW_LINES
        layout = lay_out(page, rows, display.print, Lines(max(1, len(told)), 1.0), foot_lines)
        return replace(layout, px_per_s=layout.px_per_s * PX_SHARE * float(state.slow_down**_CLOSENESS))

    def seek_at(
        self, state: TakeState, display: Display, at: tuple[float, float], now_s: float, size: tuple[int, int]
    ) -> Seek | None:
        """What a click in the lanes asks for: to go to the moment that stands there."""
        layout = self.layout(state, display, *size)
        if not layout.lanes.holds(*at):
            return None
        return Seek(now_s + (at[0] - layout.now_x) / layout.px_per_s)

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
        if state.beside is None:
            return full_lines(inside, end_s, x_at, layout)
        beside = self._ribbon(state.beside, layout).marks(now_s, state.loop)
        return [
            *(mark for mark in beside if not _refused(state) or not isinstance(mark, Label | Dot)),
            *thin_lines(inside, end_s, x_at, layout),
            *finding_marks(_others(state), x_at, layout),
        ]

    def _told(self, state: TakeState, now_s: float, width: float, most: int) -> tuple[list[str], Style, Role]:
        """What is said below the note, in lines."""
        told, style, role = told_words(state, now_s)
        return wrapped_within(told, style, width, most, self.measure), style, role

    def _ribbon(self, asked: AskedTune, layout: Layout) -> Ribbon:
        if self._kept is None or self._kept[0] is not asked or self._kept[1] != layout:
            ribbon = Ribbon(asked.schedule, asked.lanes, layout, Timing(), self.measure)
            self._kept = asked, layout, ribbon
        return self._kept[2]

    def _header(self, state: TakeState, now_s: float, layout: Layout) -> Iterator[Mark]:
        words = sounding_words(state, now_s)
        role = Role.INK if words else Role.QUIET
        yield Label(layout.header.x, layout.page.title_y, words or "silence", Style.LARGE, role)
        told, style, role = self._told(state, now_s, layout.header.width, layout.header_lines)
        for rank, words in enumerate(told):
            yield Label(layout.header.x, layout.page.below_title(rank), words, style, role)

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

    def _strip(self, state: TakeState, now_s: float, layout: Layout) -> Iterator[Mark]:
        y = strip_y(layout)
        clock = "" if state.sounding is SoundedSide.ASKED else clock_words(state, now_s)
        room = layout.now_x - layout.tube - layout.margin
        ways = (", ".join(filter(None, (reviewed(state), clock))), reviewed(state) or clock)
        left = next((each for each in ways if self.measure.width(each, Style.TEXT) <= room), ways[-1])
        yield Label(layout.margin, y, fitted(left, Style.TEXT, room, self.measure), Style.TEXT, Role.QUIET)
        told = legend(state)
        room = layout.width * 0.6 - layout.margin
        text = fitted(told, Style.TEXT, room, self.measure)
        right = layout.width - layout.margin
        yield Label(right, y, text, Style.TEXT, Role.QUIET, Anchor.RIGHT)
        if state.asked and state.sounding is SoundedSide.TAKE:
            x = right - self.measure.width(text, Style.TEXT) - layout.line * 0.5
            yield Rule(x - layout.line * 1.1, y, x, y, Role.PLAYED, 3.0)


def _x_at(now_s: float, layout: Layout) -> Callable[[float], float]:
    """Where a moment of the take stands when it is `now_s`."""
    return lambda time_s: layout.now_x + (time_s - now_s) * layout.px_per_s


def _refused(state: TakeState) -> bool:
    """Whether the take was not judged, and itself is shown."""
    return bool(state.review and state.review.refusal) and state.sounding is SoundedSide.TAKE


def _others(state: TakeState) -> Iterator[Finding]:
    """The findings that are not looked at."""
    findings = state.review.findings if state.review else ()
    return (finding for rank, finding in enumerate(findings) if rank != state.chosen)


def _looked_at(state: TakeState, now_s: float, layout: Layout, display: Display) -> Iterator[Mark]:
    """The finding that is looked at: on its lanes, and on its fingers while it is heard."""
    finding = state.finding
    if finding is None or state.sounding is SoundedSide.ASKED:
        return
    heard = 0.0 <= now_s - finding.at_s <= (finding.ms or 0.0) / 1000.0
    yield from chosen_arrow(finding, _x_at(now_s, layout), layout)
    if heard:
        yield from lit_marks(finding, layout, display)
    else:
        yield from chosen_frames(finding, _x_at(now_s, layout), layout)


def _ends(state: TakeState) -> Sequence[float]:
    return [*(each.at_s for each in state.moments[1:]), state.take.end_s][: len(state.moments)]


def take_foot(state: TakeState, display: Display) -> tuple[Hint, ...]:
    """The keys at the foot: where there is something to say of the learner's setting, the key that says it too."""
    hints = TAKE_KEYS.at_foot(state, display)
    return (*hints[:-2], _SETTING.said(state, display), hints[-1]) if setting_says(state) else hints


def setting_says(state: TakeState) -> str:
    """What there is to say of the learner's setting of the tune: that it is one, or that it is not; "" for nothing."""
    said = chosen_changes(state)
    if said:
        is_one = state.finding is not None and any(each.rank == state.finding.note for each in said)
        return "that is my setting" if is_one else f"my setting: {len(said)} note{'s' if len(said) > 1 else ''}"
    return "ask as written" if state.setting else ""


def reviewed(state: TakeState) -> str:
    """How far the review is: under way, refused, or how many findings there are."""
    if state.asked is None:
        return ""
    if state.sounding is SoundedSide.ASKED:
        return "this is how it goes"
    if state.review is None:
        return "listening to the take …"
    if state.review.refusal:
        return "not judged"
    count = len(state.review.findings)
    if state.chosen is not None:
        return f"finding {state.chosen + 1} of {count}"
    return {0: "nothing to mend", 1: "1 finding"}.get(count, f"{count} findings")


def clock_words(state: TakeState, now_s: float) -> str:
    """How far the take is, and how long."""
    return f"{max(0.0, now_s - state.begin_s):.1f} s of {state.take.end_s - state.begin_s:.1f}"


def sounding_words(state: TakeState, now_s: float) -> str:
    """The note that sounds; nothing in silence."""
    if state.asked and state.sounding is SoundedSide.ASKED:
        event = state.asked.schedule.events[state.asked.schedule.event_index_at(now_s)]
        return "" if event.kind is EventKind.REST else event.note.label
    note = state.moment_at(now_s).note
    return note.label if note is not None else ""


def told_words(state: TakeState, now_s: float) -> tuple[str, Style, Role]:
    """What is said below the note: the finding that is looked at, why there is none, or what was asked."""
    if state.notice:
        return state.notice, Style.TEXT, Role.INK
    if state.sounding is SoundedSide.TAKE and state.finding is not None:
        return state.finding.text, Style.STRONG, Role.FAULT
    if state.review and state.review.refusal:
        return state.review.refusal, Style.TEXT, Role.INK
    beside = state.asked if state.sounding is SoundedSide.ASKED else state.beside
    return (f"asked: {asked_words(beside, now_s)}" if beside else ""), Style.TEXT, Role.QUIET


def legend(state: TakeState) -> str:
    """What the lines stand for, or why nothing asked is shown."""
    if state.take.heading.tune and not state.asked:
        return "its tune is not here, or has changed since"
    if state.sounding is SoundedSide.ASKED:
        return ""
    if not isinstance(state.take.heading.known, HoleMap):
        return NOTES_ONLY
    return "as it was played" if state.asked else ""


def asked_words(asked: AskedTune, at_s: float) -> str:
    """The note that was asked, and its embellishment."""
    event = asked.schedule.events[asked.schedule.event_index_at(at_s)]
    note = asked.schedule.played[event.played].note.note
    embellishment = asked.schedule.embellishments[event.played]
    words = note.label if note is not None else "a rest"
    return f"{words}, {embellishment.name}" if embellishment else words
