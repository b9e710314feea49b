"""A session of a class in a real window, by keys and clicks alone, with four real ports and whoever plays into them."""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Iterator, Sequence
from contextlib import ExitStack
from pathlib import Path

import pygame
import pytest

from companion.files.folders import data_folder, takes_folder
from companion.midi.maps.memory import read_memory
from companion.midi.ports.driver import Backend
from companion.midi.stream.line import Timed
from companion.midi.stream.messages import encode
from companion.midi.takes.reading import Take, list_takes, read_take
from companion.schedule.build import build_schedule
from companion.window.class_navigation import class_over
from companion.window.classroom.class_input import ClassInput
from companion.window.classroom.class_screen import ClassScreen
from companion.window.classroom.class_state import projected
from companion.window.classroom.players_screen import PlayersScreen
from companion.window.core.actions import Action, LeadTo, Typed
from companion.window.core.display import Display
from companion.window.core.marks import Role
from companion.window.core.screen import ScreenResult
from companion.window.core.theme import PAPER
from companion.window.live.input import LiveInput
from companion.window.live.instruments import Instruments
from companion.window.live.sound import LiveSound
from companion.window.play.play_screen import PlayScreen
from companion.window.sheet.sheet_screen import SheetScreen
from tests.companion.midi.jack import ENVIRONMENT, OtherEnd, jack_server, other_end
from tests.companion.window.desk import HEIGHT, WIDTH, Desk
from tests.companion.window.players import Feed, notes_of
from tests.companion.window.standing import canvas_of, drawn, standing

pytestmark = pytest.mark.same_everywhere

NAMES = ("anna", "ben", "cara", "dougal")
SHOWN = Display(introduced=True)
PLAYS_S = 2.5
SETTLES_S = 0.5
"""What stood still for so long moves no more: frames come sixty times a second."""


@pytest.fixture(autouse=True)
def _at_home(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Iterator[None]:
    """A JACK server runs; the pictures to compare with are drawn here, of what the desk's own folders hold."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    pygame.display.set_mode((1, 1))
    with jack_server():
        yield
    pygame.display.quit()


def keys_to_the_class(beneath: PlayScreen) -> list[str]:
    """The keys that choose the class on the sheet, which is open."""
    sheet = SheetScreen(beneath, SHOWN, lambda screen, action: ScreenResult.STAY).shown
    rank = next(rank for rank, hint in enumerate(sheet.hints) if Action.CLASS in hint.actions)
    group = sheet.hints[rank].group
    return [*["Tab"] * sheet.groups.index(group), *["Down"] * list(sheet.ranks(group)).index(rank), "Return"]


def all_there_and_silent() -> ClassScreen:
    """The class as it is shown while all four are plugged in and nobody has played."""
    screen = class_over(standing())
    for name in NAMES:
        live = LiveInput(None, LiveSound(), learner=name)
        live.choice.follow(Feed(f"{name} maker:out"), None)
        screen.room.welcome(live)
    return screen


def played(ends: Sequence[OtherEnd], notes: Sequence[Timed]) -> None:
    """All of them play the same notes, at their times."""
    began_s = time.monotonic()
    for timed in notes:
        time.sleep(max(0.0, began_s + timed.at_s - time.monotonic()))
        for end in ends:
            end.order(f"send {bytes(encode(timed.message)).hex()}")
    for end in ends:
        for _ in notes:
            end.answer()


def takes() -> list[Take]:
    """All takes that are kept, the oldest first."""
    return [read_take(each.path) for each in list_takes(takes_folder()).takes]


def kept(name: str, notes: Sequence[Timed]) -> bool:
    """Whether all that a player played is in takes of that name, in order.

    On a busy computer the loudspeaker that nobody hears stands still now and then: the tune jumps, and a take ends.
    """
    messages = (each.message for take in takes() if take.heading.learner == name for each in take.messages)
    return all(any(message == wanted.message for message in messages) for wanted in notes)


def settled(desk: Desk) -> bytes:
    """The screen once nothing on it moves any more."""
    seen = [desk.screen()]

    def stands_still() -> bool:
        time.sleep(SETTLES_S)
        seen.append(desk.screen())
        return seen[-1] == seen[-2]

    desk.wait_until(stands_still, "it went on moving")
    return seen[-1]


def empty_beside_the_chanter(desk: Desk) -> bool:
    """Whether nothing is drawn at the sides, where the list and the players stand, nor above."""
    seen = desk.seen()
    ground = PAPER[Role.GROUND]
    sides = (seen[: HEIGHT * 9 // 10, : WIDTH // 6], seen[: HEIGHT * 9 // 10, WIDTH * 5 // 6 :])
    return all(bool((side == ground).all()) for side in sides)


def test_a_class_from_the_sheet_to_the_tune_again(managed_desk: Desk) -> None:
    """Names are typed, the tune is played along with, words are asked for and go; a remote leads, hides and leaves.

    Then the program is killed in the middle of another run: of each player all is kept, under the own name.
    """
    desk = managed_desk
    desk.environment.update(ENVIRONMENT, JACK_DEFAULT_SERVER=os.environ["JACK_DEFAULT_SERVER"])
    tune = standing()
    schedule = build_schedule(tune.state.tune, tune.state.timing)
    notes = [each for each in notes_of(schedule, late_s=0.0) if each.at_s < PLAYS_S]
    with ExitStack() as stack:
        ends = [stack.enter_context(other_end(f"{name} maker")) for name in NAMES]
        window = stack.enter_context(desk.running("show", "--paused", "--backend", "jack"))
        desk.wait_for(drawn(tune))
        desk.press("k", *keys_to_the_class(tune))
        desk.wait_for(drawn(class_over(standing()), projected(SHOWN)))

        instruments = Instruments(data_folder(), Backend.JACK)
        room = ClassInput(lambda: instruments, None)

        def all_there() -> bool:
            instruments.refresh()
            return len(room.seats) >= len(NAMES)

        def microphone_there() -> bool:
            instruments.refresh()
            return len(room.seats) > len(NAMES)  # JACK's inputs, which stand last

        desk.wait_until(all_there, "the ports never came")
        players = PlayersScreen(room)
        desk.press("p")
        desk.wait_until(microphone_there, "the microphone never came")
        desk.wait_for(drawn(players, projected(SHOWN)))
        seats = [seat.port for seat in room.seats[: len(NAMES)]]
        for port in seats:
            name = next(name for name in NAMES if name in port)
            desk.press(*name, "Down")
            for letter in name:
                players.act(Typed(letter))
            players.act(Action.TEMPO_DOWN)
        desk.wait_for(drawn(players, projected(SHOWN)))
        instruments.close()
        desk.press("Return")
        there = drawn(all_there_and_silent(), projected(SHOWN))
        desk.wait_for(there)
        desk.wait_until(
            lambda: {read_memory(data_folder()).about(port).learner for port in seats} == set(NAMES), "no name was kept"
        )

        desk.press("space")
        desk.wait_until_it_moves()
        played(ends, notes)
        desk.wait_until(lambda: all(kept(name, notes) for name in NAMES), "not all that was played was kept")
        desk.press("space")

        quiet = settled(desk)
        desk.press("Return")
        desk.wait_until(lambda: desk.screen() != quiet, "no words came")
        desk.press("Return")
        desk.wait_until(lambda: desk.screen() == quiet, "the words did not go")
        desk.press("period")
        desk.wait_until(lambda: empty_beside_the_chanter(desk), "it was never hidden")
        desk.press("Escape")
        desk.wait_until(lambda: desk.screen() == quiet, "it never came back")
        desk.press("Next")
        desk.wait_until(lambda: desk.screen() != quiet, "the class was not led on")
        desk.press("Escape")
        desk.wait_for(drawn(tune))

        desk.press("k", *keys_to_the_class(tune))
        desk.wait_for(there)  # who they are is known
        desk.press("space")
        desk.wait_until_it_moves()
        played(ends, notes)
        twice = [*notes, *notes]
        desk.wait_until(lambda: all(kept(name, twice) for name in NAMES), "it was not written as it was played")
        window.send_signal(signal.SIGKILL)
        window.wait()
    assert all(kept(name, twice) for name in NAMES)
    assert {take.heading.learner for take in takes()} == set(NAMES)
    assert all(f"{take.heading.learner} maker" in take.heading.source for take in takes())


def test_a_class_opens_at_once_and_its_keys_lead_back(managed_desk: Desk) -> None:
    """By its option, before any chanter is plugged in; a click leads on, and Esc comes back to the tune."""
    desk = managed_desk
    twin = class_over(standing())
    with desk.running("show", "--paused", "--class"):
        desk.wait_for(drawn(twin, projected(SHOWN)))
        place = next(
            target.rect for target in twin.picture(canvas_of(projected(SHOWN))).targets if target.intent == LeadTo(1)
        )
        desk.click(place.x + place.width / 2, place.y + place.height / 2)
        twin.act(LeadTo(1))
        desk.wait_for(drawn(twin, projected(SHOWN)))
        desk.press("Escape")
        desk.wait_for(drawn(standing()))
