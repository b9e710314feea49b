"""That a microphone is open is said on every screen, one key closes it there, and none is while nobody sees it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pygame
import pytest

from companion.window.classroom.class_input import ClassInput, RestingInput
from companion.window.core.actions import Action
from companion.window.core.display import Display, Print
from companion.window.core.screen import Screen
from companion.window.live.microphone.open_microphones import CLOSED, SAID_FOR_S, OpenMicrophones
from companion.window.live.microphone.open_sign import OpenSign, above_sign, with_sign
from companion.window.playing_navigation import PLAYING_NAVIGATION
from companion.window.shell import Shell, WindowSize
from tests.companion.window import scenes
from tests.companion.window.live.microphone.listed import DESK, HEAD, MicrophoneDesk
from tests.companion.window.microphone_scenes import playing_at
from tests.companion.window.takes.reviewing import canvas, words_of
from tests.companion.window.takes.take_scenes import takes


@pytest.fixture
def desk(tmp_path: Path) -> MicrophoneDesk:
    """A desk with a microphone that was chosen and hears."""
    desk = MicrophoneDesk(tmp_path)
    desk.live.listen_to_microphone(DESK)
    desk.live.gather(None)
    desk.state("hearing")
    desk.live.gather(None)
    return desk


def watched(desk: MicrophoneDesk) -> OpenMicrophones:
    """Its microphones."""
    screen = playing_at(desk)
    return OpenMicrophones(lambda: screen.inputs, screen.close_microphones, desk.clock)


def words(microphones: OpenMicrophones) -> str:
    """What is said of them, "" for nothing."""
    return microphones.sign.words if microphones.sign else ""


@pytest.fixture
def shell(monkeypatch: pytest.MonkeyPatch, desk: MicrophoneDesk) -> Iterator[Shell]:
    """A window that draws to memory, with the playing screen at that microphone in it."""
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    yield Shell(playing_at(desk), Display(), WindowSize())
    pygame.display.quit()


def shown(shell: Shell) -> str:
    """All that the window says."""
    shell.draw()
    assert shell.picture
    return words_of(shell.picture)


def press_f9() -> None:
    """The key that closes the microphone goes down."""
    pygame.event.post(pygame.event.Event(pygame.KEYDOWN, key=pygame.K_F9, unicode="", mod=0, scancode=0))


def test_on_every_screen_it_is_said_and_one_key_closes_it(shell: Shell, desk: MicrophoneDesk) -> None:
    """On the playing screen, in the lists and where letters are typed; from then on it is said that it is closed."""
    microphones = watched(desk)
    shell.close_microphone = microphones.close
    screens: list[Screen] = [takes(3), *filter(None, [PLAYING_NAVIGATION[Action.INSTRUMENT](playing_at(desk))])]
    for screen in (None, *screens):
        if screen:
            shell.put(screen)
        shell.sign = microphones.sign
        assert f"microphone open: {DESK}" in shown(shell)
        assert "close it" in shown(shell)
    press_f9()
    assert shell.frame()
    assert desk.live.choice.microphone is None
    shell.sign = microphones.sign
    assert CLOSED in shown(shell)
    assert "F9" not in shown(shell)
    desk.clock.now_s += SAID_FOR_S
    assert microphones.sign is None


def test_a_click_on_the_sign_closes_it_too(desk: MicrophoneDesk) -> None:
    """The sign is a target, tall enough (WCAG 2.2, 2.5.8), and lies over nothing of the screen above it."""
    for size in scenes.SIZES:
        for print_size in Print:
            whole = canvas(size, print_size)
            sign = OpenSign(f"microphone open: {HEAD * 3}")
            above = above_sign(sign, whole)
            picture = with_sign(takes(30).picture(above), sign, whole)
            (target,) = (each for each in picture.targets if each.intent is Action.CLOSE_MICROPHONE)
            assert target.rect.height >= 24.0
            assert target.rect.y >= above.height
            assert target.rect.right <= whole.width
            scenes.assert_apart(picture, whole.measure)


def test_what_was_closed_is_not_opened_the_next_time(desk: MicrophoneDesk, tmp_path: Path) -> None:
    """What was not, is."""
    assert desk.instruments.last_microphone == DESK
    watched(desk).close()
    assert desk.instruments.last_microphone is None
    desk.live.close()
    later = MicrophoneDesk(tmp_path)
    assert later.live.choice.microphone is None
    assert words(watched(later)) == ""


def test_at_the_next_start_it_is_said_before_it_brings_sound(desk: MicrophoneDesk, tmp_path: Path) -> None:
    """From the moment that it is asked for."""
    desk.live.close()
    later = MicrophoneDesk(tmp_path)
    assert words(watched(later)) == f"not open yet: {DESK}"
    later.state("learning")
    assert words(watched(later)) == f"microphone open: {DESK}"


def test_none_is_open_while_the_window_is_minimised(desk: MicrophoneDesk) -> None:
    """It is closed, and opened again when the window is seen, with what it knew of the chanter; it stays the one that
    is opened the next time."""
    desk.learns(b"voice")
    microphones, number = watched(desk), desk.source.number
    for minimised in (False, True, True):
        microphones.follow(minimised=minimised)
        desk.live.gather(None)
    assert ("close", number) in desk.system.orders
    assert desk.live.choice.microphone is None
    assert desk.instruments.last_microphone == DESK
    microphones.follow(minimised=False)
    assert desk.source.name == DESK
    assert desk.source.voice == b"voice"
    microphones.follow(minimised=False)
    assert len(desk.system.sources) == 2


def test_one_that_was_closed_while_it_rested_stays_closed(desk: MicrophoneDesk) -> None:
    """As where a class has its own instruments, and the teacher closes all microphones."""
    take_up = desk.live.rest()
    desk.live.listen_to_nothing()
    take_up()
    desk.live.gather(None)
    assert desk.live.choice.microphone is None


def test_the_window_tells_that_it_is_minimised(shell: Shell) -> None:
    """And that it is seen again."""
    shell.frame()
    pygame.event.post(pygame.event.Event(pygame.WINDOWMINIMIZED))
    shell.frame()
    assert shell.minimised
    pygame.event.post(pygame.event.Event(pygame.WINDOWRESTORED))
    shell.frame()
    assert not shell.minimised


def test_in_a_class_all_are_closed_and_nobody_is_seated_there_the_next_time(desk: MicrophoneDesk) -> None:
    """And the playing screen's own, which rests meanwhile, stays closed too."""
    screen = playing_at(desk)
    resting = RestingInput(desk.live)
    room = ClassInput(lambda: desk.instruments, None, desk.clock)
    room.look()
    for seat, name in zip(room.seats, ("Ann", "Ben"), strict=True):
        room.seat(seat, name)

    def close() -> None:
        room.close_microphones()
        screen.close_microphones()

    microphones = OpenMicrophones(lambda: (desk.live, *room.learners), close, desk.clock)
    for source in desk.system.sources:
        source.answered(["state", source.number, "hearing", 1.0, -20.0, False])
    assert words(microphones) == "2 microphones open"
    microphones.close()
    assert room.learners == ()
    assert words(microphones) == CLOSED
    resting.end()
    assert desk.live.choice.microphone is None
    assert [desk.instruments.learner(seat.key) for seat in room.seats] == ["", ""]
    room.close()
