"""Who plays on which instrument: the ports and microphones that there are, each with a name that the teacher types."""

from __future__ import annotations

from collections.abc import Sequence

from companion.window.classroom.class_input import LONGEST_NAME, ClassInput
from companion.window.classroom.class_state import projected
from companion.window.core.actions import Action, Intent, Pick, Typed
from companion.window.core.caps import CAPS
from companion.window.core.display import Display
from companion.window.core.hints import Group, Hint, KeyHint, KeyTable
from companion.window.core.list_screen import MOVE_KEY, moved
from companion.window.core.list_view import ListContents, ListRow, list_picture
from companion.window.core.look_keys import leave_key
from companion.window.core.marks import Picture
from companion.window.core.screen import Canvas, ScreenResult, StillScreen

NOBODY = "nobody"
NO_PORTS = "neither an electronic chanter nor a microphone is connected; plug one in, and it stands here"
WHAT_TO_DO = "type the name of whoever plays on it; without a name nobody does"
TAKEN_BACK: KeyHint[object] = KeyHint(
    (Action.ERASE,), lambda state, display: "letter back", "Takes the last letter back.", Group.PLAY
)
KEEP: KeyHint[object] = KeyHint(
    (Action.CHOOSE,), lambda state, display: "keep them", "Has these players play, now and next time.", Group.PLAY
)
PLAYERS_KEYS: KeyTable[object] = KeyTable((MOVE_KEY, TAKEN_BACK, KEEP, leave_key("leave them as they were")), ())


class PlayersScreen(StillScreen):
    """The list of ports; the letters that are typed are the name on the marked one."""

    def __init__(self, room: ClassInput) -> None:
        self._room = room
        room.look()
        self._names = dict(room.names())
        self.rank = 0

    @property
    def written(self) -> str:
        """The name on the marked port."""
        port = self._port()
        return self._names.get(port, "") if port else ""

    def projected(self, display: Display) -> Display:
        """As the class is."""
        return projected(display)

    def keycaps(self) -> Sequence[tuple[str, Action]]:
        """The keys in force: no letters, which are names here."""
        return tuple((CAPS[action], action) for hint in PLAYERS_KEYS.foot for action in hint.actions)

    def sheet(self, display: Display) -> Sequence[Hint]:
        """Nothing: its key is a letter here."""
        return ()

    def act(self, intent: Intent) -> ScreenResult:
        """Write a name, move along the ports, or go back, with the names kept or as they were."""
        match intent:
            case Typed(text):
                self._write((self.written + text).lstrip()[:LONGEST_NAME])
            case Action.ERASE:
                self._write(self.written[:-1])
            case Action.CHOOSE:
                self._keep()
                return ScreenResult.CLOSE
            case Action.LEAVE:
                return ScreenResult.CLOSE
            case Pick(rank):
                self.rank = rank
            case Action():
                self.rank = moved(self.rank, len(self._room.seats), intent)
        return ScreenResult.STAY

    def tick(self) -> None:
        """Keep the marked row within the list, since ports may have gone."""
        self.rank = max(0, min(self.rank, len(self._room.seats) - 1))

    def picture(self, canvas: Canvas) -> Picture:
        """The list."""
        seats = self._room.seats
        rows = tuple(
            ListRow(self._shown(seat.port, marked=rank == self.rank), seat.words) for rank, seat in enumerate(seats)
        )
        hints = PLAYERS_KEYS.at_foot(None, canvas.display)
        line = WHAT_TO_DO if seats else NO_PORTS
        return list_picture(ListContents("Players", rows, self.rank, hints, line), canvas)

    def _shown(self, port: str, *, marked: bool) -> str:
        name = self._names.get(port, "")
        return f"{name}|" if marked else name or NOBODY

    def _port(self) -> str | None:
        seats = self._room.seats
        return seats[self.rank].port if self.rank < len(seats) else None

    def _write(self, name: str) -> None:
        port = self._port()
        if port:
            self._names[port] = name

    def _keep(self) -> None:
        for seat in self._room.seats:
            self._room.seat(seat, self._names.get(seat.port, "").strip())
