"""Which microphones are open, on whatever screen: what is said of them, how they are closed, when they rest."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from companion.files.lines import one_line
from companion.window.live.input import LiveInput
from companion.window.live.microphone.followed import is_there
from companion.window.live.microphone.open_sign import OpenSign

CLOSED = "the microphone is closed, and none is opened until you choose one"
LEAVE_IT = "leave it closed"
SAID_FOR_S = 6.0
"""Long enough to read that twice."""


class OpenMicrophones:
    """The microphones of all who play in. For the window's thread.

    inputs: those that there are now, one but for a class. close: closes all their microphones, for the next time too.
    None is open while the window is minimised, since nobody sees there that one is.
    """

    def __init__(
        self, inputs: Callable[[], Sequence[LiveInput]], close: Callable[[], None], clock: Callable[[], float]
    ) -> None:
        self._inputs = inputs
        self._close = close
        self._clock = clock
        self._closed_s = float("-inf")
        self._take_up: list[Callable[[], None]] | None = None

    @property
    def sign(self) -> OpenSign | None:
        """What is to be said of them now; None where none is open or wanted."""
        sources = [live.choice.microphone for live in self._inputs()]
        there = [one_line(each.name) for each in sources if each and is_there(each)]
        waiting = [one_line(each.name) for each in sources if each and not is_there(each)]
        if len(there) == 1:
            return OpenSign(f"microphone open: {there[0]}")
        if there:
            return OpenSign(f"{len(there)} microphones open")
        if waiting:
            return OpenSign(f"not open yet: {waiting[0]}", is_open=False, closing=LEAVE_IT)
        if self._clock() - self._closed_s < SAID_FOR_S:
            return OpenSign(CLOSED, is_open=False, closing="")
        return None

    def close(self) -> None:
        """Close all of them, and open none when the program is started again, until one is chosen."""
        if any(live.choice.microphone for live in self._inputs()):
            self._close()
            self._closed_s = self._clock()

    def follow(self, *, minimised: bool) -> None:
        """Once a frame: let them rest while the window is minimised, and take them up when it is seen again."""
        if minimised and self._take_up is None:
            self._take_up = [live.rest() for live in self._inputs() if live.choice.microphone]
        elif not minimised and self._take_up is not None:
            taken_up, self._take_up = self._take_up, None
            for take_up in taken_up:
                take_up()
