"""The words of a take in review: how far it is, what sounds, what is said of it."""

from __future__ import annotations

from companion.hearing.takes.sound_take import SoundTake
from companion.midi.maps.hole_map import HoleMap
from companion.schedule.events import EventKind
from companion.window.core.marks import Role, Style
from companion.window.play.free_view import CHART_FINGERS
from companion.window.takes.asked_tune import AskedTune
from companion.window.takes.take_state import SoundedSide, TakeState

UNSURE = "not heard surely"
HEARING = "of the recording was heard; it can be played meanwhile"


def reviewed(state: TakeState) -> str:
    """How far the review is: under way, refused, or in how many places something is to be mended."""
    if state.asked is None or state.hearing_share is not None:
        return ""
    if state.sounding is SoundedSide.ASKED:
        return "this is how it goes"
    if state.review is None:
        return "listening to the take …"
    if state.review.refusal:
        return "not judged"
    count = len(state.lit)
    if state.chosen in state.lit:
        return f"place {state.lit.index(state.chosen) + 1} of {count}"
    return {0: "nothing to mend", 1: "1 place"}.get(count, f"{count} places")


def share_heard(state: TakeState) -> str:
    """How much of the take's sound was heard by now; "" where none is being heard."""
    return "" if state.hearing_share is None else f"{100.0 * state.hearing_share:.0f} %"


def strip_title(state: TakeState) -> str:
    """Of which tune the take is and when it was played; or the learner's own setting, if it was judged in one."""
    if state.review and state.review.own:
        return f"in your setting: {state.review.own}"
    heading = state.take.heading
    return f"{heading.shown_title}, {heading.began.astimezone():%Y-%m-%d %H:%M}"


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
    """What is said below the note: the finding that is looked at, why there is none, or what was asked; first of all
    that the take's sound is being heard."""
    if state.hearing_share is not None:
        return HEARING, Style.TEXT, Role.INK
    if state.notice:
        return state.notice, Style.TEXT, Role.INK
    if state.sounding is SoundedSide.TAKE and state.finding is not None:
        return state.finding.text, Style.STRONG, Role.FAULT
    if state.review and state.review.refusal:
        return state.review.refusal, Style.TEXT, Role.INK
    beside = state.asked if state.sounding is SoundedSide.ASKED else state.beside
    return (f"asked: {asked_words(beside, now_s)}" if beside else ""), Style.TEXT, Role.QUIET


def legend(state: TakeState) -> str:
    """Why nothing asked is shown, or how the fingers are known; "" where the lines speak for themselves."""
    if state.take.heading.tune and not state.asked:
        return "its tune is not here, or has changed since"
    return fingers_words(state) if state.asked is None else ""


def trouble_words(by_sound: SoundTake) -> str:
    """What made its sound hard to hear, the first thing of several; "" for nothing."""
    return next((each.value for each in by_sound.heard.troubles), "")


def unsure_words(state: TakeState) -> str:
    """What a broken line is; "" where nothing is drawn as one."""
    return UNSURE if state.by_sound and state.by_sound.unsure else ""


def fingers_words(state: TakeState) -> str:
    """A line which says that the fingers are the chart's, where an instrument sends notes and not holes."""
    return "" if isinstance(state.take.heading.known, HoleMap) else CHART_FINGERS


def asked_words(asked: AskedTune, at_s: float) -> str:
    """The note that was asked, and its embellishment."""
    event = asked.schedule.events[asked.schedule.event_index_at(at_s)]
    note = asked.schedule.played[event.played].note.note
    embellishment = asked.schedule.embellishments[event.played]
    words = note.label if note is not None else "a rest"
    return f"{words}, {embellishment.name}" if embellishment else words
