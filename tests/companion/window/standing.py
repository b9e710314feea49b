"""Screens that stand still in this process, to be compared with what a real window shows."""

from __future__ import annotations

from functools import cache

import pygame

from companion.commands.shared.tune_list import tune_list_for
from companion.commands.show import OPENING_SLOW_DOWN
from companion.schedule.timing import Timing
from companion.window.choose.recent_keeper import RecentKeeper
from companion.window.core.actions import Action, Intent
from companion.window.core.display import Display
from companion.window.core.marks import Label, Rect, Style
from companion.window.core.screen import Canvas, Screen
from companion.window.paint.lettering import ending_fonts
from companion.window.paint.still import paint_still
from companion.window.play.play_screen import PlayScreen
from companion.window.program import Opening, play_screen, shelf_of
from companion.window.staff.drawing import StaffAtOnce
from fingering.notes import Note
from tests.companion.window import scenes
from tests.companion.window.desk import HEIGHT, WIDTH
from tests.companion.window.lettered import lettering_for


def drawn(screen: Screen, display: Display | None = None, size: tuple[int, int] = (WIDTH, HEIGHT)) -> pygame.Surface:
    """The picture of a screen that stands still."""
    canvas = canvas_of(display, size)
    return paint_still(screen.picture(canvas), canvas.display, lettering_for(size, canvas.display))


def canvas_of(display: Display | None = None, size: tuple[int, int] = (WIDTH, HEIGHT)) -> Canvas:
    """What a picture is laid out for."""
    shown = display or Display(introduced=True)
    return Canvas(*size, shown, lettering_for(size, shown))


def standing(name: str | None = None) -> PlayScreen:
    """The playing screen on a tune, None for the one that the program opens with, at rest at its start."""
    listed = tune_list_for(name, None, 0)
    timing = Timing(slow_down=OPENING_SLOW_DOWN)
    opening = Opening(listed.tunes, listed.first, timing, playing=False, book=listed.book, ours=listed.ours)
    return play_screen(opening, shelf=shelf_of(opening, RecentKeeper.at_home()), staff=engraver())


@cache
def engraver() -> StaffAtOnce:
    """Who engraves what these screens show."""
    return StaffAtOnce(ending_fonts())


def part_of(
    screen: Screen, beginning: str, display: Display | None = None, size: tuple[int, int] = (WIDTH, HEIGHT)
) -> tuple[pygame.Surface, pygame.Rect]:
    """The picture of a screen now, and where the words are in it that begin so."""
    canvas = canvas_of(display, size)
    label = next(each for each in labels_of(screen, canvas) if each.text.startswith(beginning))
    room = scenes.label_rect(label, canvas.measure)
    place = round(room.x), round(room.y), round(room.width), round(room.height)
    return drawn(screen, display, size), pygame.Rect(place)


def labels_of(screen: Screen, canvas: Canvas) -> list[Label]:
    """The words of a screen's picture, the largest first."""
    return sorted(scenes.labels(screen.picture(canvas)), key=lambda label: label.style is not Style.HUGE)


def name_of(tune: Screen, note: Note) -> tuple[pygame.Surface, pygame.Rect]:
    """How the name of a note looks that a screen plays, and where."""
    while not any(each.style is Style.HUGE and each.text == note.label for each in labels_of(tune, canvas_of())):
        tune.act(Action.ON)
    return part_of(tune, note.label)


def counting_in(tune: PlayScreen) -> tuple[pygame.Surface, pygame.Rect]:
    """How the words look that count a tune in, and where."""
    tune.act(Action.PLAY)
    words = part_of(tune, "counting in")
    tune.act(Action.PLAY)
    return words


def dragged(tune: PlayScreen, x: float, y: float, to_x: float) -> Intent | None:
    """What a drag from (x, y) asks for."""
    grab = tune.grab(x, y, canvas_of())
    return grab.drag(to_x) if grab else None


def place_of(screen: Screen, intent: Intent, display: Display | None = None) -> Rect:
    """Where a click asks for that."""
    return next(target.rect for target in screen.picture(canvas_of(display)).targets if target.intent == intent)
