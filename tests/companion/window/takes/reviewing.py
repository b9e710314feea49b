"""How the screens of a take in review are looked at."""

from __future__ import annotations

from companion.window.core.display import Display, Print
from companion.window.core.marks import Picture, Role
from companion.window.core.screen import Canvas
from companion.window.paint.still import lettering_for
from tests.companion.window import scenes

SIZE = (1280, 720)


def canvas(size: tuple[int, int] = SIZE, print_size: Print = Print.NORMAL) -> Canvas:
    """What pictures are laid out for."""
    display = Display(print=print_size)
    return Canvas(*size, display, lettering_for(size, display))


def faults(picture: Picture, kind: type) -> list[object]:
    """The marks of one kind that say that something was found."""
    return [mark for mark in picture.moving if isinstance(mark, kind) and getattr(mark, "role", None) is Role.FAULT]


def words_of(picture: Picture) -> str:
    """All that is written."""
    return "\n".join(label.text for label in scenes.labels(picture))
