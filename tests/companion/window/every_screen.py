"""Every screen that there is, in every state that looks otherwise, to be drawn at any size."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache, partial
from itertools import product

from companion.commands.shared.library import transposed
from companion.midi.stream.line import Timed
from companion.midi.stream.messages import NoteOff, NoteOn
from companion.schedule.build import build_schedule
from companion.schedule.timing import Timing
from companion.sound.player import SilentPlayer
from companion.window.choose.recent_keeper import RecentKeeper
from companion.window.choose.rows import tune_row
from companion.window.choose.shelf import OurTunes, Shelf
from companion.window.choosing_navigation import choose_tune, fit_question
from companion.window.core.actions import Action, Intent, Typed
from companion.window.core.marks import Picture
from companion.window.core.screen import Canvas, Screen, ScreenResult
from companion.window.crossing.crossing_screen import CrossingScreen
from companion.window.crossing.crossing_state import update
from companion.window.crossing.map_screen import Face, MapScreen
from companion.window.crossing.tune_map_screen import TuneMapScreen
from companion.window.embellishment_navigation import practice_over
from companion.window.embellishments.catalogue_screen import CatalogueScreen
from companion.window.embellishments.practice_view import LONGEST_TOLD, PracticeView
from companion.window.lanes.played_in import NOTHING_PLAYED, Light, PlayedIn
from companion.window.lanes.told import NOTHING_TOLD, Told
from companion.window.live.input import LiveInput
from companion.window.live.microphone.open_sign import OpenSign, above_sign, with_sign
from companion.window.live.sound import LiveSound
from companion.window.moments import MOMENTS, with_moment
from companion.window.play.free_screen import FreeScreen
from companion.window.play.instrument_screen import InstrumentScreen
from companion.window.play.learn_screen import LearnScreen, hole_lesson, note_lesson
from companion.window.play.play_screen import PlayScreen
from companion.window.play.play_view import PlayView
from companion.window.sheet.sheet_screen import SheetScreen
from fingering.notes import Note
from tests.companion.window import scenes
from tests.companion.window.choose.choosing import OURS
from tests.companion.window.classroom.class_scene import class_scenes
from tests.companion.window.crossing.showing import SHOWN as CROSSINGS
from tests.companion.window.crossing.showing import opened as opened_crossing
from tests.companion.window.embellishments.test_practice_view import SHOWN as EMBELLISHMENTS
from tests.companion.window.embellishments.test_practice_view import state as practice_state
from tests.companion.window.lesson.lesson_scenes import lesson_screens
from tests.companion.window.live.microphone.listed import HEAD
from tests.companion.window.microphone_scenes import microphone_screens
from tests.companion.window.microphone_scenes import states as microphone_states
from tests.companion.window.play.on_keys import freely_on_keys
from tests.companion.window.play.test_fit_screen import LOW
from tests.companion.window.play.test_play_view import CAPS, HEARD
from tests.companion.window.players import Clock, Feed
from tests.companion.window.progress.accounts import progress_screens
from tests.companion.window.rereading.editing import NEWS
from tests.companion.window.staff.plain_staff import PlainStaff
from tests.companion.window.staff.staff_scenes import staff_screens
from tests.companion.window.takes.reviewing import (
    FAULTLESS,
    MANY_SLIPS,
    ONE_SLIP,
    THREE_SLIPS,
    Slips,
    reviewed,
)
from tests.companion.window.takes.take_scenes import of_another_tune, takes, unjudged
from tests.companion.window.takes.test_review_layout import STATES as REVIEW_STATES
from tests.companion.window.tool_scenes import tool_screens
from tests.companion.window.written.written_scenes import written_screens

Draw = Callable[[Canvas], Picture]
MANY_ROWS = 2_000
LONG_TITLE = "The Long and Winding Lament for the Departure of the Last of the Herring Boats"
LISTENING = PlayedIn(light=Light.ARRIVING, words="messages arrive from Chanter MIDI 1", kept="kept as a take")
ON_KEYS = replace(LISTENING, words="the computer's keys play", caps=CAPS)
PLACES = ((0.02, 0.4), (0.3, 0.5), (0.5, 0.45), (0.75, 0.6), (0.99, 0.7))
"""Where the pointer rests, in shares of the window."""


@dataclass(frozen=True)
class Scene:
    """A screen in one state. over: a plate lies over it, and hides some of its words. signed: a row below it says that
    a microphone is open."""

    name: str
    draw: Draw
    over: bool = False
    signed: bool = False

    def __str__(self) -> str:
        return self.name


def playing(
    at_s: float = 0.0, *, metronome: bool = False, runs: bool = True, keys: Sequence[Action] = ()
) -> PlayScreen:
    """The playing screen on the tune of these tests, which came so far. keys: what was asked of it before it ran."""
    clock = Clock()
    live = LiveInput(None, LiveSound(), clock)
    screen = PlayScreen(scenes.state(), SilentPlayer(clock), choose_tune, live=live)
    while metronome and not screen.state.sound.metronome_level:
        screen.act(Action.METRONOME)
    for key in keys:
        screen.act(key)
    if runs:
        screen.act(Action.PLAY)
    clock.now_s += at_s
    return screen


def _played(played: PlayedIn, heard: Told = NOTHING_TOLD, notice: str = "", staff: PlainStaff | None = None) -> Draw:
    def draw(canvas: Canvas) -> Picture:
        state, size = replace(scenes.state(), notice=notice), (canvas.width, canvas.height)
        return PlayView(canvas.measure).picture(state, canvas.display, 3.2, *size, played, heard, staff=staff)

    return draw


def _hovered(share: tuple[float, float]) -> Draw:
    def draw(canvas: Canvas) -> Picture:
        screen = playing(3.0)
        screen.hover((share[0] * canvas.width, share[1] * canvas.height))
        return screen.picture(canvas)

    return draw


def _told(rank: int) -> Draw:
    return lambda canvas: with_moment(playing(3.0).picture(canvas), rank, canvas)


def _sheet_over(make: Callable[[], Screen], downs: int) -> Draw:
    def draw(canvas: Canvas) -> Picture:
        sheet = SheetScreen(make(), canvas.display, lambda beneath, action: ScreenResult.STAY)
        for _ in range(downs):
            sheet.act(Action.NEXT_GROUP)
        return sheet.picture(canvas)

    return draw


def _practised(name: str, onto: Note, played: PlayedIn, told: Told) -> Draw:
    def draw(canvas: Canvas) -> Picture:
        return PracticeView(canvas.measure).picture(practice_state(name, onto), canvas, 1.3, played, told)

    return draw


def after(screen: Screen, *intents: Intent) -> Screen:
    """The screen once those were carried out."""
    for intent in intents:
        screen.act(intent)
    return screen


@cache
def tunes(count: int) -> Screen:
    """The list of so many tunes, one of them with a long title."""
    ours = replace(OURS.tunes[0], title=LONG_TITLE), *OURS.tunes[1:]
    shelf = Shelf(OurTunes(ours[: min(count, len(ours))]), RecentKeeper(None))
    if count > len(ours):
        shelf.ours = tuple(tune_row(ours[rank % len(ours)]) for rank in range(count))
    return choose_tune(playing(runs=False), shelf=shelf)


def in_review(slips: Slips, *actions: Action) -> Draw:
    """A take in review after some keys."""

    def draw(canvas: Canvas) -> Picture:
        return after(reviewed(slips), *actions).picture(canvas)

    return draw


def verdict(slips: Slips, downs: int) -> Draw:
    """The verdict on a take, some rows down."""

    def draw(canvas: Canvas) -> Picture:
        opened = reviewed(slips).act(Action.VERDICT)
        assert not isinstance(opened, ScreenResult)
        return after(opened, *[Action.TEMPO_DOWN] * downs).picture(canvas)

    return draw


@cache
def lesson(which: str, learnt: int) -> LearnScreen:
    """An instrument's notes or holes, some of them learnt."""
    clock = Clock(10.0)
    live, feed = LiveInput(None, LiveSound(), clock), Feed()
    live.choice.follow(feed, None)
    beneath = PlayScreen(scenes.state(), SilentPlayer(clock), choose_tune, live=live)
    screen = LearnScreen(beneath, note_lesson() if which == "notes" else hole_lesson())
    for number in (57, 59, 60, 62, 64, 65, 67, 69, 71)[:learnt]:
        feed.play(Timed(clock(), NoteOn(0, number)))
        clock.now_s += 0.5
        feed.play(Timed(clock(), NoteOff(0, number)))
        beneath.listen_in()
    return screen


@cache
def too_low() -> Screen:
    """The question about a tune that is written an octave too low."""
    tune = replace(scenes.tune(LOW), title=LONG_TITLE)
    asked = fit_question(playing(runs=False), tune, transposed)
    assert asked is not None
    return asked


@cache
def searched(query: str) -> Screen:
    """The list of our tunes, searched."""
    return after(choose_tune(playing(runs=False), shelf=Shelf(OURS, RecentKeeper(None))), *map(Typed, query))


@cache
def catalogue(query: str, downs: int = 0) -> Screen:
    """The list of embellishments, searched, some rows down."""
    return after(CatalogueScreen(lambda subject: ScreenResult.STAY), *map(Typed, query), *[Action.TEMPO_DOWN] * downs)


def maps() -> Iterator[tuple[str, Screen]]:
    """What lies in changes of note: all of them as a map and as a list, and a tune's own."""
    ours = scenes.tune()
    for face in Face:
        yield f"map {face.name}", MapScreen(lambda named: ScreenResult.STAY, (Note.HIGH_G, Note.D), face=face)
    yield "tune map", TuneMapScreen(LONG_TITLE, build_schedule(ours, Timing()), lambda named: ScreenResult.STAY)


def crossings() -> Iterator[tuple[str, Screen]]:
    """Single crossings, clean and with a finger late."""
    for start, end in CROSSINGS:
        late = opened_crossing(start, end)
        for name, state in (("late", late), ("clean", update(late, Action.FLIP, 0.0))):
            middle = replace(state, position_s=state.schedule.duration_s / 2)
            screen = CrossingScreen(middle, SilentPlayer(Clock()), lambda choose: MapScreen(choose))
            yield f"crossing {start.label} to {end.label} {name}", screen


def plain_screens() -> Mapping[str, Callable[[], Screen]]:
    """Screens that draw themselves; each is made where it is asked for."""
    return {
        "playing stopped": partial(playing, runs=False),
        "playing": partial(playing, 3.0),
        "counting in": partial(playing, 1.2, metronome=True),
        **tool_screens(playing),
        "practice": lambda: practice_over(playing(runs=False), practice_state(*EMBELLISHMENTS[1]).subject),
        "practice, an echo": lambda: after(plain_screens()["practice"](), Action.ECHO),
        **{f"{count} tunes": partial(tunes, count) for count in (0, 1, MANY_ROWS)},
        **{f"tunes searched {query[:9]}": partial(searched, query) for query in ("a", "window", "q" * 60)},
        **{f"catalogue {query[:9]} {downs}": partial(catalogue, query, downs) for query, downs in _SEARCHES},
        **{name: partial(_same, screen) for name, screen in (*maps(), *crossings())},
        **{f"{count} takes": partial(takes, count) for count in (0, 1, MANY_ROWS)},
        "takes with spoilt ones": partial(takes, 3, 2),
        "unjudged": unjudged,
        "refused": partial(
            unjudged,
            "this does not sound like Nets on the Slip (23 % of the melody fits), so it is "
            "not judged; choose the tune that was played",
        ),
        "of another tune": of_another_tune,
        "no tune": partial(unjudged, tune_is_here=False),
        "instruments": lambda: InstrumentScreen(playing(runs=False)),
        **{
            f"{learnt} {which} learnt": partial(lesson, which, learnt)
            for which in ("notes", "holes")
            for learnt in (0, 4, 9)
        },
        "free play": lambda: FreeScreen(playing(runs=False)),
        "free play on keys": lambda: freely_on_keys(playing(runs=False)),
        "the fit question": too_low,
        **microphone_screens(),
        **lesson_screens(),
        **progress_screens(),
        **class_scenes(),
        **written_screens(),
    }


_SEARCHES = (("", 0), ("", 64), ("", 356), ("taor", 3), ("zzz", 0), ("w" * 60, 0))


SHEETS_OVER = (
    *("playing", "practice", "map MAP", "tune map", "1 takes", "unjudged", "instruments", "free play"),
    *("the fit question", "crossing D to E late", "lesson", "step alone", "a class of 4", "written down"),
)


SIGN = OpenSign(f"microphone open: {HEAD}")
SIGN_BELOW = ("playing", "1 takes", "lesson", "a class of 4", "free play at a microphone", "2000 tunes")


def _same(screen: Screen) -> Screen:
    return screen


def every_scene() -> Iterator[Scene]:
    """All of them."""
    plain = plain_screens()
    for name, make in plain.items():
        yield Scene(name, partial(_drawn, make))
    for name, make in staff_screens(playing).items():
        yield Scene(name, partial(_drawn, make))
    for name in SHEETS_OVER:
        for downs in range(5):
            yield Scene(f"sheet {downs} over {name}", _sheet_over(plain[name], downs), over=True)
    for name in SIGN_BELOW:
        yield Scene(f"{name}, a microphone open", partial(_signed, plain[name]), signed=True)
    for rank in range(len(MOMENTS)):
        yield Scene(f"moment {rank}", _told(rank), over=True)
    for share in PLACES:
        yield Scene(f"hover at {share}", _hovered(share), over=True)
    for name, played in microphone_states():
        yield Scene(name, _played(played))
    for name, played in (("listening", LISTENING), ("on keys", ON_KEYS)):
        yield Scene(name, _played(played))
        yield Scene(f"{name}, a brief", _played(played, HEARD[0]))
        yield Scene(f"{name}, sentences", _played(played, HEARD[1]))
        yield Scene(f"{name}, sentences, a staff", _played(played, HEARD[1], staff=PlainStaff()))
    for news, played in product(NEWS, (NOTHING_PLAYED, LISTENING, ON_KEYS)):
        yield Scene(f"{news[:50]}, {played.light.value}{played.caps[:1]}", _played(replace(played, news=news)))
    yield Scene("a notice", _played(NOTHING_PLAYED, notice="the file was read again: 2 tunes are new, and one is gone"))
    for name, onto in EMBELLISHMENTS:
        for listening, told in ((NOTHING_PLAYED, NOTHING_TOLD), (ON_KEYS, Told((LONGEST_TOLD,)))):
            yield Scene(f"{name} {listening.light.value}", _practised(name, onto, listening, told))
    for places, slips in (("0", FAULTLESS), ("1", ONE_SLIP), ("3", THREE_SLIPS), ("55", MANY_SLIPS)):
        for actions in REVIEW_STATES:
            yield Scene(f"{places} places {[each.name for each in actions]}", in_review(slips, *actions))
        for downs in (0, 1, 7):
            yield Scene(f"verdict on {places} places {downs}", verdict(slips, downs))


def _signed(make: Callable[[], Screen], canvas: Canvas) -> Picture:
    return with_sign(make().picture(above_sign(SIGN, canvas)), SIGN, canvas)


def _drawn(make: Callable[[], Screen], canvas: Canvas) -> Picture:
    return make().picture(canvas)
