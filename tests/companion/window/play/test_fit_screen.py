"""A tune that leaves the chanter is never shifted in silence: the window asks."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from pathlib import Path

import pygame
import pytest

from companion.commands.shared.library import transposed
from companion.commands.shared.tune_list import tune_list_for
from companion.schedule.timing import Timing
from companion.sound.player import SilentPlayer
from companion.window.choosing_navigation import choose_tune, fit_question
from companion.window.core.actions import Action, Pick
from companion.window.core.display import Display, Print
from companion.window.core.marks import Anchor
from companion.window.core.screen import Canvas, ScreenResult
from companion.window.play.fit_screen import FitScreen
from companion.window.play.play_screen import PlayScreen
from companion.window.play.play_state import first_state
from fingering.notes import Note
from tests.companion.window import scenes
from tests.companion.window.lettered import lettering_for

LOW = "X:1\nT:The Sunken Bell\nM:2/4\nL:1/8\nK:HP\nC2E2|G2A2|\n"


@pytest.fixture
def screen(tmp_path: Path) -> Iterator[PlayScreen]:
    """The playing screen on a tune that is written an octave too low."""
    path = tmp_path / "low.abc"
    path.write_text(LOW)
    tunes = tune_list_for(str(path), None)
    state = first_state(tunes.tunes, tunes.first, Timing())
    screen = PlayScreen(state, SilentPlayer(), partial(choose_tune, refit=transposed))
    yield screen
    screen.close()


def notes(screen: PlayScreen) -> list[Note | None]:
    """The melody that the screen plays."""
    return [note.note for note in screen.state.tune.notes]


def question(screen: PlayScreen) -> FitScreen:
    """What is asked about the tune that plays."""
    asked = fit_question(screen, screen.state.tune, transposed)
    assert asked is not None
    return asked


def test_nothing_is_shifted_before_the_answer(screen: PlayScreen) -> None:
    """The notes that no chanter has are left out, C and E an octave too low."""
    question(screen)
    assert notes(screen) == [None, None, Note.LOW_G, Note.LOW_A]


def test_the_first_answer_shifts(screen: PlayScreen) -> None:
    """An octave, and every note is there; the tune takes the other's place in the list."""
    assert question(screen).act(Action.CHOOSE) is ScreenResult.CLOSE
    assert notes(screen) == [Note.C, Note.E, Note.HIGH_G, Note.HIGH_A]
    assert screen.state.tune is screen.state.tunes[0]


@pytest.mark.parametrize("intents", [(Action.LEAVE,), (Action.TEMPO_DOWN, Action.CHOOSE), (Pick(1),)])
def test_the_other_leaves_it_as_it_is(screen: PlayScreen, intents: tuple[Action | Pick, ...]) -> None:
    """Whether by Escape, by the keys or by a click."""
    asked = question(screen)
    answers = [asked.act(intent) for intent in intents]
    assert answers[-1] is ScreenResult.CLOSE
    assert notes(screen) == [None, None, Note.LOW_G, Note.LOW_A]


def test_a_tune_of_ours_asks_nothing(screen: PlayScreen) -> None:
    """All its notes are on the chanter."""
    assert fit_question(screen, screen.state.tunes[1], transposed) is None


def test_the_list_of_tunes_asks_too(screen: PlayScreen) -> None:
    """Once such a tune is chosen, and goes when it is answered."""
    tunes = choose_tune(screen, refit=transposed)
    assert tunes.state.marked is not None
    assert tunes.state.marked.name == "The Sunken Bell"
    assert tunes.act(Action.CHOOSE) is ScreenResult.STAY
    assert tunes.act(Action.CHOOSE) is ScreenResult.CLOSE
    assert notes(screen)[0] is Note.C


def test_a_file_that_has_gone_costs_a_line(screen: PlayScreen, tmp_path: Path) -> None:
    """The tune stays as it is."""
    (tmp_path / "low.abc").unlink()
    assert question(screen).act(Action.CHOOSE) is ScreenResult.CLOSE
    assert "there is no such file" in screen.state.notice


@pytest.mark.parametrize("size", [(800, 600), (1280, 720), (1920, 1080)])
@pytest.mark.parametrize("print_", Print)
def test_the_question_can_be_read_and_clicked(screen: PlayScreen, size: tuple[int, int], print_: Print) -> None:
    """Both answers are targets within the window, and no words leave it."""
    pygame.font.init()
    display = Display(print=print_)
    lettering = lettering_for(size, display)
    picture = question(screen).picture(Canvas(*size, display, lettering))
    rows = [target.rect for target in picture.targets if isinstance(target.intent, Pick)]
    assert len(rows) == 2
    assert all(rect.x >= 0 and rect.x + rect.width <= size[0] and rect.y + rect.height <= size[1] for rect in rows)
    labels = [mark for mark in scenes.labels(picture) if mark.anchor is Anchor.LEFT]
    assert all(label.x >= 0 and label.x + lettering.width(label.text, label.style) <= size[0] for label in labels)
