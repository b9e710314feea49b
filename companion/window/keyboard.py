"""Turns pygame's events into intents: clicks, the wheel, and keys by what is printed on them, for any layout."""

from __future__ import annotations

from collections.abc import Sequence

import pygame

from companion.window.core.actions import Action, Drop, Intent, Typed
from companion.window.core.marks import Picture
from companion.window.core.screen import Canvas, Screen, TextTaker

_NAMED = {
    "space": pygame.K_SPACE,
    "←": pygame.K_LEFT,
    "→": pygame.K_RIGHT,
    "↓": pygame.K_DOWN,
    "↑": pygame.K_UP,
    "Enter": pygame.K_RETURN,
    "Home": pygame.K_HOME,
    "PgUp": pygame.K_PAGEUP,
    "PgDn": pygame.K_PAGEDOWN,
    "Tab": pygame.K_TAB,
    "Esc": pygame.K_ESCAPE,
    "Backspace": pygame.K_BACKSPACE,
    "F9": pygame.K_F9,
}
_SAME = {"-": "–", "=": "+", "_": "–"}  # the same key on many keyboards, with or without shift
_ALSO = {
    pygame.K_KP_PLUS: "+",
    pygame.K_KP_MINUS: "–",
    pygame.K_KP_ENTER: "Enter",
    pygame.K_F1: "K",
    pygame.K_PERIOD: "space",  # what a presenter's remote sends to darken the screen, beside PgUp, PgDn and F5
    pygame.K_F5: "F",
}
_WITH_SHIFT = {pygame.K_LEFT: "PgUp", pygame.K_RIGHT: "PgDn"}  # for keyboards that have neither
LEFT_BUTTON = 1
RIGHT_BUTTON = 3


def keycap(key: int, typed: str, *, shifted: bool = False) -> str:
    """What is printed on a key, in the words of the table of keys; of a key that does as another, that one's."""
    if shifted and key in _WITH_SHIFT:
        return _WITH_SHIFT[key]
    for cap, code in _NAMED.items():
        if key == code:
            return cap
    if key in _ALSO:
        return _ALSO[key]
    return _SAME.get(typed, typed.upper())


def action_of_key(event: pygame.event.Event, keycaps: Sequence[tuple[str, Action]]) -> Action | None:
    """The action of a KEYDOWN event, None for none."""
    asked = dict(keycaps)
    if event.key in _ALSO and event.unicode in asked:
        return asked[event.unicode]  # here it has a meaning of its own
    return asked.get(keycap(event.key, event.unicode, shifted=bool(event.mod & pygame.KMOD_SHIFT)))


def intent_of(event: pygame.event.Event, screen: Screen, picture: Picture, canvas: Canvas) -> Intent | None:
    """What an event asks the screen for; None for nothing."""
    match event.type:
        case pygame.QUIT:
            return Action.QUIT
        case pygame.KEYDOWN:
            return action_of_key(event, screen.keycaps()) or _typed(event, screen)
        case pygame.DROPFILE:
            return Drop(event.file)
        case pygame.MOUSEBUTTONDOWN if event.button == LEFT_BUTTON:
            return _pressed(event.pos, screen, picture, canvas)
        case pygame.MOUSEBUTTONDOWN if event.button == RIGHT_BUTTON:
            return Action.KEYS
        case pygame.MOUSEWHEEL:
            return _wheeled(event, picture)
        case _:
            return None


def _typed(event: pygame.event.Event, screen: Screen) -> Typed | None:
    """The letter of a KEYDOWN event, for a screen that takes text; None for keys that are held with Ctrl or Alt."""
    commands = pygame.KMOD_CTRL | pygame.KMOD_LALT | pygame.KMOD_META  # the right Alt types letters on many keyboards
    if not isinstance(screen, TextTaker) or not event.unicode.isprintable() or event.mod & commands:
        return None
    return Typed(event.unicode) if event.unicode else None


def _pressed(at: tuple[int, int], screen: Screen, picture: Picture, canvas: Canvas) -> Intent | None:
    for target in picture.targets:
        if target.rect.holds(*at):
            return target.intent
    return screen.press(*at, canvas)


def _wheeled(event: pygame.event.Event, picture: Picture) -> Intent | None:
    """What the wheel asks for: over a pair of keys, that pair; elsewhere the slow-down, with shift the tempo."""
    at = pygame.mouse.get_pos()
    turn = event.y or event.x
    if not turn:
        return None
    for target in picture.targets:
        if target.wheel and target.rect.holds(*at):
            return target.wheel[turn > 0]
    pair = (Action.TEMPO_DOWN, Action.TEMPO_UP)
    if not pygame.key.get_mods() & pygame.KMOD_SHIFT:
        pair = (Action.SLOWER, Action.FASTER)
    return pair[turn > 0]
