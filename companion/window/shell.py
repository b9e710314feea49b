"""The window itself: one loop that reads events, lets the top screen act, draws it, and sleeps."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass, replace

import pygame

from companion.files.streams import quiet_libraries
from companion.window.core.actions import Action, Drop, Intent
from companion.window.core.caps import CAPS
from companion.window.core.display import Display, Print, change_display
from companion.window.core.marks import Picture
from companion.window.core.screen import (
    Answer,
    Beneath,
    Canvas,
    KeyMove,
    KeyTaker,
    Nested,
    Projected,
    Screen,
    ScreenResult,
    TextTaker,
)
from companion.window.core.trouble_line import above_trouble, with_trouble
from companion.window.fade import FootFade
from companion.window.keyboard import action_of_key, intent_of
from companion.window.live.microphone.open_sign import OpenSign, above_sign, with_sign
from companion.window.moments import Moments, with_moment
from companion.window.paint.draw import Painter
from companion.window.paint.lettering import Lettering, text_size
from companion.window.pointing import Pointing
from companion.window.sheet.sheet_screen import SheetScreen
from fingering.errors import UserError

FRAMES_PER_S = 60
SMALLEST = (640, 480)
UNSEEN_DRIVERS = ("dummy", "offscreen")
ASKING = (pygame.KEYDOWN, pygame.MOUSEMOTION, pygame.MOUSEBUTTONDOWN, pygame.MOUSEWHEEL, pygame.FINGERDOWN)
"""What a user does who wants something: the keys at the foot come back."""

CLOSING = ((CAPS[Action.CLOSE_MICROPHONE], Action.CLOSE_MICROPHONE),)
"""The key that closes the microphone, on whichever screen."""

THREAD_SWITCH_S = 0.0005  # with Python's own 5 ms, sound and MIDI threads starve beside a drawing loop


@dataclass(frozen=True, slots=True)
class WindowSize:
    """Size of the window when it is not full screen."""

    width: int = 1280
    height: int = 720


class Shell:
    """Owns the window's surface, its lettering and painter, and the stack of screens.

    clock: in seconds, tells when the keys at the foot fade.

    `trouble` is a line below whichever screen is on top, about what failed behind it; "" for none. Below both stands
    the `sign` that a microphone is open, if one is, and on every screen one key calls `close_microphone`. `minimised`:
    whether nobody sees the window.
    """

    def __init__(
        self, first: Screen, display: Display, size: WindowSize, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self.display = display
        self.trouble = ""
        self.sign: OpenSign | None = None
        self.close_microphone: Callable[[], None] = _nothing
        self.minimised = False
        self._size = size
        self._screens = [first]
        self._surface = self._open()
        self._lettering = Lettering(self._text_size())
        self._painter = Painter(display.theme, self._lettering)
        self._picture: Picture | None = None
        self._clock = clock
        self._fade = FootFade(clock())
        self._pointing = Pointing(clock)
        self._moments: Moments | None = None

    @property
    def top(self) -> Screen:
        """The top screen, which is the one that is seen."""
        return self._screens[-1]

    @property
    def picture(self) -> Picture | None:
        """The picture that was drawn last, None before the first."""
        return self._picture

    @property
    def font_missing(self) -> str | None:
        """One line about a font that was not found."""
        return self._lettering.missing

    def introduce(self) -> None:
        """Tell what the picture means, over it, and remember that it was told."""
        self._moments = Moments(self._clock())
        self.display = replace(self.display, introduced=True)

    def put(self, screen: Screen) -> None:
        """Open a screen on top of the others."""
        self._screens.append(screen)

    def frame(self) -> bool:
        """Handle the events that came, draw one frame; returns False once the window is to close."""
        for event in pygame.event.get():
            if event.type == pygame.VIDEORESIZE and not self.display.full_screen:
                self._resized(event.w, event.h)
            elif not self._handle(event):
                return False
        if not self._do(self._pointing.pass_time(self.top)):
            return False
        answer = self.top.tick()
        if answer is not None and not self._follow(answer):
            return False
        self.draw()
        return True

    def draw(self) -> None:
        """Draw the top screen and show it."""
        self._refit()
        self._picture = self._drawn()
        fades = self._picture.foot is not None and self._picture.foot.fades
        strength = self._fade.strength(self._clock(), fades=fades)
        self._painter.paint(self._surface, self._picture, strength)
        pygame.display.flip()

    def run(self, before_frame: Callable[[], None] = lambda: None) -> None:
        """Frames until the window closes. `before_frame` is called ahead of each."""
        try:
            self.run_until(lambda: False, before_frame)
        finally:
            self.close()

    def run_until(self, happened: Callable[[], bool], before_frame: Callable[[], None] = lambda: None) -> bool:
        """Frames until something has happened; returns False where the window is to close before that."""
        sys.setswitchinterval(THREAD_SWITCH_S)
        clock = pygame.time.Clock()
        while not happened():
            before_frame()
            if not self.frame():
                return False
            clock.tick(FRAMES_PER_S)
            time.sleep(0.001)  # hands the other threads a turn even when drawing is late
        return True

    def close(self) -> None:
        """Close what is still open: the screens, the top one first, then the window."""
        while self._screens:
            self._screens.pop().close()
        pygame.display.quit()

    def _handle(self, event: pygame.event.Event) -> bool:
        if event.type in (pygame.WINDOWMINIMIZED, pygame.WINDOWRESTORED, pygame.WINDOWMAXIMIZED):
            self.minimised = event.type == pygame.WINDOWMINIMIZED
        if self._picture is None:
            return event.type != pygame.QUIT
        if event.type in ASKING:
            self._fade.asked(self._clock())
        if event.type in (pygame.KEYDOWN, pygame.MOUSEBUTTONDOWN, pygame.DROPFILE):
            self._moments = None
        if self._key_taken(event):
            return True
        if event.type == pygame.KEYDOWN and action_of_key(event, CLOSING):
            return self._do(Action.CLOSE_MICROPHONE)
        pointed = self._pointing.follow(event, self.top, self._picture, self._canvas())
        return self._do(pointed or intent_of(event, self.top, self._picture, self._canvas()))

    def _do(self, intent: Intent | None) -> bool:
        """Have an intent carried out; returns False once the window is to close."""
        top = self.top
        if intent is Action.QUIT:
            return False
        if intent is Action.CLOSE_MICROPHONE:
            self.close_microphone()
            return True
        if isinstance(intent, Drop):
            self._close_to_first()  # whatever is open gives way to what was dropped
            return self._follow(self.top.act(intent))
        if intent is Action.KEYS and top.sheet(self.display):
            return self._follow(SheetScreen(top, self.display, self._ask))
        searching = isinstance(top, TextTaker) and bool(top.written)  # which Esc clears before all else
        searching = searching or (isinstance(top, Nested) and top.nested)
        on_sheet = isinstance(top, SheetScreen)  # which says that Esc closes it
        if intent is Action.LEAVE and self.display.full_screen and not searching and not on_sheet:
            intent = Action.FULL_SCREEN
        if isinstance(intent, Action) and not on_sheet:
            return self._follow(self._ask(top, intent))
        return intent is None or self._follow(top.act(intent))

    def _ask(self, screen: Screen, action: Action) -> Answer:
        """Have a screen carry out an action, and the window its own part."""
        if action is Action.CLOSE_MICROPHONE:
            self.close_microphone()
        if action is Action.MOMENTS:
            self.introduce()
        self._show(change_display(self.display, action))
        return screen.act(action)

    def _key_taken(self, event: pygame.event.Event) -> bool:
        """Whether the top screen used a key for playing; also tells it when the window loses the keyboard."""
        top = self._screens[-1]
        if event.type in (pygame.KEYDOWN, pygame.KEYUP) and isinstance(top, KeyTaker):
            shifted = bool(event.mod & pygame.KMOD_SHIFT)
            return top.take_key(KeyMove(event.scancode, event.type == pygame.KEYDOWN, shifted))
        if event.type == pygame.WINDOWFOCUSLOST and isinstance(top, KeyTaker):
            top.lose_keys()
        return False

    def _follow(self, answer: Answer) -> bool:
        goes_on = self._carry_out(answer)
        if goes_on and answer is not ScreenResult.STAY:
            self._pointing.let_go()
            self._picture = self._drawn()  # clicks still waiting are meant for this one
        return goes_on

    def _carry_out(self, answer: Answer) -> bool:
        match answer:
            case ScreenResult.STAY:
                return True
            case ScreenResult.QUIT:
                return False
            case ScreenResult.CLOSE:
                self._screens.pop().close()
                return bool(self._screens)
            case Beneath(result):
                self._screens.pop().close()
                return self._carry_out(result)
            case _:
                if isinstance(self._screens[-1], KeyTaker):
                    self._screens[-1].lose_keys()
                self._screens.append(answer)
                return True

    def _close_to_first(self) -> None:
        while len(self._screens) > 1:
            self._screens.pop().close()

    def _drawn(self) -> Picture:
        canvas = self._canvas()
        picture = self._screens[-1].picture(canvas)
        rank = self._moments.rank(self._clock()) if self._moments else None
        if rank is not None:
            picture = with_moment(picture, rank, canvas)
        whole = self._whole()
        return with_sign(with_trouble(picture, self.trouble, above_sign(self.sign, whole)), self.sign, whole)

    def _canvas(self) -> Canvas:
        """What the top screen has to itself."""
        return above_trouble(self.trouble, above_sign(self.sign, self._whole()))

    def _whole(self) -> Canvas:
        self._refit()
        return Canvas(*self._surface.get_size(), self._display, self._lettering)

    @property
    def _display(self) -> Display:
        """How the top screen is shown."""
        return self.top.projected(self.display) if isinstance(self.top, Projected) else self.display

    def _text_size(self) -> int:
        return text_size(*self._surface.get_size(), self._display.print is Print.BIG)

    def _refit(self) -> None:
        """Make lettering and painter anew where the window's size or the display settings ask for others."""
        size = self._text_size()
        if size != self._lettering.size:
            self._lettering = Lettering(size)
        if self._painter.theme is not self.display.theme or self._painter.lettering is not self._lettering:
            self._painter = Painter(self.display.theme, self._lettering)

    def _show(self, display: Display) -> None:
        changed = display.full_screen != self.display.full_screen
        self.display = display
        if changed:
            self._surface = self._open()

    def _resized(self, width: int, height: int) -> None:
        self._size = WindowSize(max(width, SMALLEST[0]), max(height, SMALLEST[1]))
        self._surface = self._open()

    def _open(self) -> pygame.Surface:
        try:
            if not pygame.display.get_init():
                with quiet_libraries():
                    pygame.display.init()
                _refuse_unseen()
            if self.display.full_screen:
                surface = pygame.display.set_mode((0, 0), pygame.FULLSCREEN)
            else:
                surface = pygame.display.set_mode((self._size.width, self._size.height), pygame.RESIZABLE)
        except pygame.error as error:
            raise UserError(
                f"no window can be opened ({error})", "run it where there is a screen, or use 'eightholes picture'"
            ) from None
        pygame.display.set_caption("eightholes")
        return surface


def _nothing() -> None:
    """No microphone is open before instruments are."""


def _refuse_unseen() -> None:
    """Where there is no screen, SDL draws for nobody unless it is told not to. Raises UserError.

    A driver that was asked for by name, as tests do, is taken.
    """
    driver = pygame.display.get_driver()
    asked = os.environ.get("SDL_VIDEODRIVER", "").split(",")
    if driver in UNSEEN_DRIVERS and driver not in asked:
        pygame.display.quit()
        what = "no window can be opened, since there is no screen here"
        raise UserError(what, "run it where there is one, or use 'eightholes picture'")
