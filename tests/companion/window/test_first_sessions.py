"""Whole first sessions of three users, in a real window with a window manager, by pointer and keys alone."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pygame
import pytest
from mido import MidiFile

from companion.files.folders import takes_folder
from companion.listen.model.played import Fingered
from companion.midi.maps.keys import KeyLayout, UpperHand
from companion.midi.takes.reading import list_takes, read_take
from companion.schedule.spans import Extent
from companion.window.choose.choose_screen import ChooseScreen
from companion.window.core.actions import Action, Pick, RepeatBetween, Typed
from companion.window.core.display import Display, Print, Viewpoint
from companion.window.core.marks import Rect
from companion.window.core.screen import KeyMove
from companion.window.embellishment_navigation import practice_over
from companion.window.embellishments.catalogue_screen import CatalogueScreen
from companion.window.embellishments.practice_screen import PracticeScreen
from companion.window.play.play_screen import LEAVING, PlayScreen
from companion.window.play.settings.preferences import preferences_path, read_preferences
from companion.window.playing_navigation import take_over, takes_over
from companion.window.sheet.sheet_screen import SheetScreen
from fingering.chart import chart
from fingering.holes import ALL_CLOSED, HoleState
from fingering.notes import Note
from tests.companion.window.desk import HEIGHT, PATIENCE_S, RIGHT, WIDTH, Desk
from tests.companion.window.standing import counting_in, dragged, drawn, name_of, part_of, place_of, standing

SHOWN = "the-last-ferry-to-tarrowick"
EIGHT = ("space", "f", "d", "s", "j", "k", "l", "semicolon")
"""The keys under the eight fingers, thumb first, as xdotool names them."""

TIMES = 4
"""So often the learner plays the two notes; the long note at the end leaves time to stop."""

MORE_STEPS_THAN_IT_HAS = 12
LOW_A = chart(Note.LOW_A)
LITTLE = EIGHT[-1]
LOWER = KeyLayout.for_upper_hand(UpperHand.LEFT).scancodes


@pytest.fixture(autouse=True)
def _at_home(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Iterator[None]:
    """The pictures to compare with are drawn here, of what the desk's own folders hold.

    What is printed on keys is asked of a window: here of one that nobody sees.
    """
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    pygame.display.set_mode((1, 1))
    yield
    pygame.display.quit()


class User:
    """Somebody at the desk whose actions are counted: a press, a click, or a word that is typed, is one."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.actions = 0

    def press(self, key: str) -> None:
        """Press a key."""
        self.actions += 1
        self.desk.press(key)

    def write(self, word: str) -> None:
        """Type a word."""
        self.actions += 1
        self.desk.press(*word)

    def click(self, place: Rect) -> None:
        """Click into the middle of a place."""
        self.actions += 1
        self.desk.click(place.x + place.width / 2, place.y + place.height / 2)


def catalogue(search: str) -> CatalogueScreen:
    """All embellishments, searched."""
    screen = CatalogueScreen(lambda subject: practice_over(standing(), subject, playing=False))
    for letter in search:
        screen.act(Typed(letter))
    return screen


def played_on(screen: PracticeScreen, keys: tuple[str, ...], *, down: bool) -> None:
    """Press or let go keys under the fingers of a screen in this process."""
    for key in keys:
        assert screen.take_key(KeyMove(LOWER[EIGHT.index(key)], down=down, shifted=False))
    screen.listen_in()


def test_a_beginner_watches_a_taorluath_and_plays_it_back(managed_desk: Desk) -> None:
    """Three actions to one that goes round at a quarter of its speed; then its first two low notes on the keys."""
    desk, user = managed_desk, User(managed_desk)
    with desk.running():
        desk.wait_until_it_moves()
        user.press("j")
        desk.wait_for(drawn(catalogue("")))
        user.write("taor")
        desk.wait_for(drawn(catalogue("taor")))
        user.press("Return")
        assert user.actions == 3
        desk.wait_until_it_moves()
        taorluath = catalogue("taor").act(Action.CHOOSE)
        assert isinstance(taorluath, PracticeScreen)
        assert taorluath.state.play.timing.slow_down == 4.0
        desk.press("space", *["Left"] * MORE_STEPS_THAN_IT_HAS)
        desk.wait_for(drawn(taorluath))
        desk.press("i")
        taorluath.act(Action.PLAY_KEYS)
        desk.wait_for(drawn(taorluath))
        desk.hold(*EIGHT)
        played_on(taorluath, EIGHT, down=True)
        desk.wait_for(drawn(taorluath))
        desk.let_go(LITTLE)
        played_on(taorluath, (LITTLE,), down=False)
        desk.wait_for(drawn(taorluath))
        desk.let_go(*EIGHT[:-1])
        desk.press("shift+space")
        desk.wait_until_it_moves()


MINE = """X:1
T:Two Low Notes
M:2/4
L:1/4
Q:1/4=120
K:HP
G {g}A|G {g}A|G {g}A|G {g}A|{g}A2|]
"""


@pytest.mark.same_everywhere
def test_a_learner_opens_a_tune_of_his_own_and_mends_what_was_heard(managed_desk: Desk, tmp_path: Path) -> None:
    """Two actions to the tune that he had open yesterday; a stretch of it, slower, with the metronome; a take of it."""
    desk, user = managed_desk, User(managed_desk)
    mine = tmp_path / "mine.abc"
    mine.write_text(MINE)
    with desk.running(str(mine)) as yesterday:
        desk.wait_until_it_moves()
        desk.press("space", "Escape")
        assert yesterday.wait(PATIENCE_S) == 0
    with desk.running():
        desk.wait_until_it_moves()
        user.press("o")
        tunes = standing().act(Action.TUNES)
        assert isinstance(tunes, ChooseScreen)
        desk.wait_for(drawn(tunes))
        user.click(place_of(tunes, Pick(named(tunes, "Two Low Notes"))))
        assert user.actions == 2
        desk.wait_until_it_moves()
        tune = standing(str(mine))
        desk.press("space", "Home")
        desk.wait_for(drawn(tune))
        slow_and_mark(desk, tune)
        play_the_whole_on_keys(desk, tune)
        take = play_along(desk, tune)
        review_and_practise(desk, tune, take)


def named(tunes: ChooseScreen, name: str) -> int:
    """The rank of the row of that name."""
    return next(rank for rank, row in enumerate(tunes.state.rows) if row.name == name)


def slow_and_mark(desk: Desk, tune: PlayScreen) -> None:
    """Slower by a step, a stretch marked with the pointer, the metronome on, the keys under the fingers."""
    desk.press("minus")
    tune.act(Action.SLOWER)
    desk.wait_for(drawn(tune))
    first_x, last_x = WIDTH * 0.4, WIDTH * 0.7
    names_y = next(y for y in range(HEIGHT) if isinstance(dragged(tune, first_x, y, last_x), RepeatBetween)) + 2
    stretch = dragged(tune, first_x, names_y, last_x)
    assert stretch
    tune.act(stretch)
    assert tune.state.span
    desk.drag(names_y, first_x, last_x)
    desk.wait_for(drawn(tune))
    desk.press("m")
    tune.act(Action.METRONOME)
    kept = preferences_path()
    desk.wait_until(lambda: read_preferences(kept).sound.metronome_level > 0, "the metronome was never kept")
    desk.press("space")
    desk.wait_for(*counting_in(tune))
    desk.wait_until_it_moves()
    desk.press("space")


def play_the_whole_on_keys(desk: Desk, tune: PlayScreen) -> None:
    """All of the tune again, from its start, the keys under the fingers."""
    while tune.state.marked or tune.state.extent is not Extent.TUNE:
        desk.press("l")
        tune.act(Action.REPEAT)
    desk.press("i")
    tune.act(Action.PLAY_KEYS)
    desk.press("Home")
    tune.act(Action.START)
    desk.wait_for(drawn(tune))


def play_along(desk: Desk, tune: PlayScreen) -> Path:
    """Be counted in, then play each note as its name is read on the screen, without gracenotes; the take of it."""
    low_g, low_a = name_of(tune, Note.LOW_G), name_of(tune, Note.LOW_A)
    tune.act(Action.START)
    desk.press("shift+space")
    desk.wait_for(*counting_in(tune))
    desk.hold(*EIGHT)
    desk.wait_for(*low_a)
    desk.let_go(LITTLE)
    for _ in range(TIMES - 1):
        desk.wait_for(*low_g)
        desk.hold(LITTLE)
        desk.wait_for(*low_a)
        desk.let_go(LITTLE)
    desk.wait_until(lambda: len(low_notes(the_take())) >= 2 * TIMES, "they were never kept")
    desk.press("shift+space")
    desk.let_go(*EIGHT)
    desk.wait_until(lambda: has_ended(the_take()), "the take was never finished")
    return the_take()


def has_ended(path: Path) -> bool:
    """Whether a take says that it is over: the program writes that last, however long it is held up before."""
    return any(message.type == "marker" and message.text == "end" for message in MidiFile(path, clip=True))


def the_take() -> Path:
    """The only take that there is."""
    (take,) = list_takes(takes_folder()).takes
    return take.path


def low_notes(path: Path) -> list[HoleState]:
    """The states of the two lowest notes in a take, in order."""
    states = [event.state for event in read_take(path).events if isinstance(event, Fingered)]
    return [state for state in states if state in (ALL_CLOSED, LOW_A)]


def review_and_practise(desk: Desk, tune: PlayScreen, path: Path) -> None:
    """The take from the list, its first matter, and what that asks to be practised."""
    desk.press("r")
    takes = takes_over(tune)
    assert takes
    desk.wait_for(*part_of(takes, "Takes"))
    desk.press("Return")
    review = take_over(tune, read_take(path))
    review.finish_review()
    assert review.state.matter is not None
    desk.wait_for(drawn(review))
    desk.press("Return")
    desk.wait_until_it_moves()


@pytest.mark.same_everywhere
def test_a_teacher_shows_a_class_on_the_wall(managed_desk: Desk) -> None:
    """Big print, the whole screen, as onlookers see it; a presenter's remote leads, and nothing ends by mistake."""
    desk = managed_desk
    with desk.running("show", SHOWN, "--size", "800x600") as window:
        desk.wait_until_it_moves()
        tune, small = standing(SHOWN), (800, 600)
        tune.act(Action.FASTER)  # a tune that is asked for opens at its own speed
        tune.act(Action.FASTER)
        desk.press("space", "Home", "b")
        big = Display(introduced=True, print=Print.BIG)
        desk.wait_for(drawn(tune, big, small))
        desk.press("f")
        desk.wait_for(drawn(tune, big))
        desk.press("Escape")
        desk.wait_for(drawn(tune, big, small))
        assert window.poll() is None
        desk.press("f")
        desk.wait_for(drawn(tune, big))
        desk.press("s")
        wall = replace(big, viewpoint=Viewpoint.ONLOOKER)
        desk.wait_for(drawn(tune, wall))
        desk.click(WIDTH * 0.7, HEIGHT * 0.5, RIGHT)
        sheet = SheetScreen(tune, replace(wall, full_screen=True), lambda screen, action: screen.act(action))
        desk.wait_for(drawn(sheet, wall))
        desk.press("Escape")
        for key, action in (("Next", Action.PHRASE_ON), ("Next", Action.PHRASE_ON), ("Prior", Action.PHRASE_BACK)):
            desk.press(key)
            tune.act(action)
            desk.wait_for(drawn(tune, wall))
        desk.press("period")
        desk.wait_until_it_moves()
        desk.press("Escape")
        desk.wait_until(lambda: not desk.seen()[small[1] :].any(), "the full screen was never left")
        desk.wait_until_it_moves()
        desk.press("Escape")
        tune.act(Action.PLAY)
        tune.tell(LEAVING)
        desk.wait_for(*part_of(tune, LEAVING, wall, small))
        assert window.poll() is None
        desk.press("Escape")
        assert window.wait(PATIENCE_S) == 0
    kept = read_preferences(preferences_path()).display
    assert (kept.print, kept.viewpoint) == (Print.BIG, Viewpoint.ONLOOKER)
