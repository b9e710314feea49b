"""Has lines of staff engraved by a process of its own, and keeps them: the window never waits for one."""

from __future__ import annotations

import contextlib
import threading
from collections import OrderedDict, deque
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from companion.files.lines import one_line
from companion.files.worker import Worker, fault_line
from companion.score.model import Tune
from fingering.errors import UserError

if TYPE_CHECKING:  # the first frame has no staff yet
    import subprocess

    from companion.window.staff.cuts import StaffCut
    from companion.window.staff.staff_line import EngravedLine, StaffRoom

MODULE = "companion.window.staff.engraver"
MOST_KEPT = 32
"""Lines that are kept: those of a long tune in one layout. One takes half a megabyte at 1920x1080."""

MOST_WAITING = 3
"""A picture asks for the line in hand and the one to come; while a window is resized, older wishes are out of date."""

ENDS_WITHIN_S = 0.5
REMEDY = "start the program again to have the staff back"


class StaffMaker:
    """A source of lines for a window. It begins its process at `begin`, and makes what was asked for in that order.

    For one thread, that of the window; a thread of its own waits for the process. is_ready: whether that can engrave by
    now.
    """

    def __init__(self, fonts: Sequence[Path] = ()) -> None:
        """fonts: files of the type in which the numbers of endings are set."""
        self._fonts = tuple(fonts)
        self._lines: OrderedDict[_Wish, EngravedLine | None] = OrderedDict()
        self._waiting: deque[_Wish] = deque(maxlen=MOST_WAITING)
        self._asked = threading.Condition()
        self._worker: Worker[None] | None = None
        self._child: subprocess.Popen[bytes] | None = None
        self._closing = False
        self._fault = ""
        self.is_ready = False

    @property
    def is_there(self) -> bool:
        """Whether there can be any: False once the process could not begin, or has ended by itself."""
        return not (self._worker and self._worker.error)

    @property
    def trouble(self) -> str:
        """One line about why there is no staff; "" where nothing is wrong."""
        error = self._worker.error if self._worker else None
        return fault_line("the staff cannot be engraved", error, REMEDY) if error else self._fault

    def begin(self) -> None:
        """Begin the process, unless it has begun: it takes a third of a second, in which the window goes on."""
        if self._worker is None:
            self._worker = Worker(self._make, "staff")
            self._worker.start()

    def line(self, tune: Tune, cut: StaffCut, room: StaffRoom) -> EngravedLine | None:
        """Some bars of a tune in a room; None while they are not ready, and where they cannot be engraved."""
        wish = _Wish(tune, cut, room)
        with self._asked:
            if wish in self._lines:
                self._lines.move_to_end(wish)
                return self._lines[wish]
            if wish not in self._waiting:
                self._waiting.append(wish)
                self._asked.notify()
        return None

    def close(self) -> None:
        """End the process, and wait for that, but not for long."""
        with self._asked:
            self._closing = True
            self._asked.notify()
        if self._worker:
            self._worker.join(ENDS_WITHIN_S)
        if self._child and self._child.poll() is None:
            self._child.kill()
            self._child.wait()
        if self._worker:
            self._worker.join(ENDS_WITHIN_S)

    def _make(self) -> None:
        """Have made what is asked for, until it is closed; on a thread of its own."""
        from companion.files.child import start_module
        from companion.window.staff.engraver import receive, send

        child = self._child = start_module(MODULE, *map(str, self._fonts))
        assert child.stdin is not None
        assert child.stdout is not None
        orders, answers = child.stdin.fileno(), child.stdout.fileno()
        told: Tune | None = None
        try:
            if isinstance(why_not := receive(answers), UserError):
                raise why_not
            self.is_ready = True
            while wish := self._next():
                if wish.tune is not told:
                    told = wish.tune
                    send(orders, told)
                send(orders, (wish.cut, wish.room))
                self._keep(wish, receive(answers))
        except (EOFError, OSError) as error:
            if not self._closing:
                raise UserError("what engraves the staff has ended", REMEDY) from error
        finally:
            for pipe in (child.stdin, child.stdout):
                with contextlib.suppress(OSError):
                    pipe.close()
            child.wait()

    def _next(self) -> _Wish | None:
        """Wait for what is to be made next; None once it is closed."""
        with self._asked:
            self._asked.wait_for(lambda: self._closing or self._waiting)
            return None if self._closing else self._waiting[0]

    def _keep(self, wish: _Wish, answer: EngravedLine | UserError) -> None:
        with self._asked:
            refused = isinstance(answer, UserError)
            self._fault = one_line(str(answer)) if refused else self._fault
            self._lines[wish] = None if isinstance(answer, UserError) else answer
            while len(self._lines) > MOST_KEPT:
                self._lines.popitem(last=False)
            with contextlib.suppress(ValueError):
                self._waiting.remove(wish)


class _Wish:
    """Bars of a tune in a room. Tunes are told apart by what they are, not by their notes, which takes long."""

    __slots__ = ("cut", "room", "tune")

    def __init__(self, tune: Tune, cut: StaffCut, room: StaffRoom) -> None:
        self.tune, self.cut, self.room = tune, cut, room

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Wish) and self.tune is other.tune and (self.cut, self.room) == (other.cut, other.room)

    def __hash__(self) -> int:
        return hash((id(self.tune), self.cut, self.room))
