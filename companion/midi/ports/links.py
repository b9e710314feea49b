"""What the window holds of a port that another process has opened."""

from __future__ import annotations

import enum
import threading
from collections import deque
from collections.abc import Callable
from typing import Any

from companion.midi.stream.line import Stamped
from fingering.errors import UserError

MOST_UNREAD = 65536
"""Messages kept for a thread that does not read: over a minute at 1,000 a second."""

Send = Callable[..., None]
"""Hands an order to the process: see `service`."""


class LinkState(enum.Enum):
    """OPENING: asked for, not answered yet. REFUSED: it does not open. LOST: it was open."""

    OPENING = "opening"
    OPEN = "open"
    REFUSED = "refused"
    LOST = "lost"


class Link:
    """One port. Answers are put in by one thread, and read by others."""

    def __init__(self, number: int, name: str, send: Send) -> None:
        self.number = number
        self.name = name
        self.state = LinkState.OPENING
        self.trouble: UserError | None = None
        self._send = send

    def answered(self, answer: list[Any]) -> None:
        """What the process tells of this port."""
        match answer:
            case ["open", _]:
                self.state = LinkState.OPEN
            case ["refused", _, what, remedy]:
                self._end(LinkState.REFUSED, what, remedy)
            case ["lost", _, what, remedy]:
                self._end(LinkState.LOST, what, remedy)

    def close(self) -> None:
        """Let the port go."""
        self._send("close", self.number)

    def _end(self, state: LinkState, what: str, remedy: str) -> None:
        self.trouble = UserError(what, remedy)
        self.state = state


class InputLink(Link):
    """A port that is listened to."""

    def __init__(self, number: int, name: str, send: Send) -> None:
        super().__init__(number, name, send)
        self._unread: deque[Stamped] = deque(maxlen=MOST_UNREAD)
        self._came = threading.Event()

    def answered(self, answer: list[Any]) -> None:
        """What the process tells, messages among it."""
        match answer:
            case ["came", _, at_s, data]:
                self._unread.append(Stamped(at_s, bytes.fromhex(data)))
                self._came.set()
            case _:
                super().answered(answer)

    def wait(self, seconds: float) -> None:
        """Wait for a message, but no longer than this."""
        self._came.wait(seconds)
        self._came.clear()

    def read(self) -> Stamped | None:
        """The next message, None when there is none waiting. Raises UserError once the port is lost."""
        if self._unread:
            return self._unread.popleft()
        if self.state is LinkState.LOST and self.trouble:
            raise self.trouble
        return None


class OutputLink(Link):
    """A port that is sent to."""

    def send(self, data: bytes) -> None:
        """Send one message, as soon as the port is open. Raises UserError when it failed."""
        if self.trouble:
            raise self.trouble
        self._send("send", self.number, data.hex())
