"""Saves a tune that was written down: its title is typed, its folder chosen; nothing is written over."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from companion.files.folders import from_home
from companion.files.lines import one_line
from companion.files.worker import Done, Failed, Worker, fault_line
from companion.files.writing import write_whole
from companion.window.choose.folders import FolderListing, folder_above, list_folder
from companion.window.choose.rows import ToPath
from companion.window.core.actions import Action, Intent, Pick, Typed
from companion.window.core.caps import CAPS
from companion.window.core.display import Display
from companion.window.core.hints import Group, Hint, KeyHint, KeyTable
from companion.window.core.list_screen import MOVE_KEY, moved
from companion.window.core.list_view import ListContents, ListRow, list_picture
from companion.window.core.look_keys import leave_key
from companion.window.core.marks import Picture, Role
from companion.window.core.screen import Answer, Canvas, ScreenResult
from companion.window.written.drafts import free_path
from fingering.errors import UserError

LONGEST_TITLE = 80
AT_ONCE_S = 0.04
"""Seconds that the window waits for a folder to be listed."""

HOME = "~"


@dataclass(frozen=True, slots=True)
class SaveState:
    """What is typed, the folders to choose from and the marked one; saved: where the tune is kept, None before it is.

    inside: the folder whose folders are listed, None for the first page.
    """

    title: str
    folders: tuple[Path, ...]
    rank: int = 0
    inside: Path | None = None
    saved: Path | None = None
    wrong: str = ""

    @property
    def folder(self) -> Path:
        """The marked folder."""
        return self.folders[self.rank]


SAVE_KEYS: KeyTable[SaveState] = KeyTable(
    (
        MOVE_KEY,
        KeyHint(
            (Action.CHOOSE,),
            lambda state, display: "practise it" if state.saved else "save it there",
            "Saves the tune in the marked folder; then opens it.",
            Group.SEE,
        ),
        KeyHint(
            (Action.BACK, Action.ON),
            lambda state, display: "folders in it",
            "Into the marked folder, or out of it.",
            Group.SEE,
        ),
        leave_key("back"),
    ),
    (),
)


class SaveScreen:
    """places: the folders that are offered first. text: the tune as ABC under a title. opens: what follows once the
    file was saved and is to be practised. saved: called with its path.
    """

    def __init__(
        self,
        title: str,
        places: Sequence[Path],
        text: Callable[[str], str],
        saved: Callable[[Path], None],
        opens: Callable[[Path], Answer],
    ) -> None:
        self._places = tuple(places)
        self._text, self._saved, self._opens = text, saved, opens
        self.state = SaveState(title, self._places)
        self._reading: Worker[FolderListing] | None = None

    @property
    def written(self) -> str:
        """The title as it is typed."""
        return self.state.title

    def keycaps(self) -> Sequence[tuple[str, Action]]:
        """The keys in force; all others that type a letter are the title."""
        return (*SAVE_KEYS.keycaps(), (CAPS[Action.ERASE], Action.ERASE))

    def sheet(self, display: Display) -> Sequence[Hint]:
        """Nothing that is not at the foot."""
        return ()

    def act(self, intent: Intent) -> Answer:
        """Type, move along the folders, go into one, save, or leave."""
        state = self.state
        match intent:
            case Action.LEAVE:
                return ScreenResult.CLOSE
            case Action.CHOOSE if state.saved:
                return self._opens(state.saved)
            case Action.CHOOSE:
                self._save()
            case Typed(text) if not state.saved:
                self.state = replace(state, title=(state.title + text)[:LONGEST_TITLE], wrong="")
            case Action.ERASE if not state.saved:
                self.state = replace(state, title=state.title[:-1], wrong="")
            case Pick(rank) if rank < len(state.folders):
                self.state = replace(state, rank=rank)
            case Action.ON if not state.saved:
                self._enter(state.folder)
            case Action.BACK if not state.saved and state.inside:
                above = folder_above(str(state.inside))
                self._enter(Path(above)) if above and state.inside not in self._places else self._first_page()
            case Action():
                self.state = replace(state, rank=moved(state.rank, len(state.folders), intent))
        return ScreenResult.STAY

    def tick(self) -> None:
        """Take up a folder once it is listed."""
        if self._reading is None:
            return
        match self._reading.outcome:
            case Done(listing):
                self._reading = None
                inside = Path(listing.path)
                within = (row.choice for row in listing.folders)
                folders = (inside, *(Path(each.path) for each in within if isinstance(each, ToPath)))
                self.state = replace(self.state, inside=inside, folders=folders, rank=0, wrong="")
            case Failed(error):
                self._reading = None
                self.state = replace(
                    self.state, wrong=fault_line("this folder cannot be read", error, "choose another")
                )

    def picture(self, canvas: Canvas) -> Picture:
        """The list of folders, with what is typed above it."""
        state = self.state
        hints = SAVE_KEYS.at_foot(state, canvas.display)
        if state.saved:
            hints = tuple(hint for hint in hints if hint.actions[0] in (Action.CHOOSE, Action.LEAVE))
        rows = tuple(
            ListRow(_named(each), "this folder" if each == state.inside else self._about(each))
            for each in state.folders
        )
        if state.saved:
            line, role = f"saved as {one_line(from_home(state.saved))}", Role.INK
            return list_picture(ListContents(_shown(state.title), (), 0, hints, line, role), canvas)
        line = state.wrong or "Type the tune's title, and choose the folder that it is saved in."
        contents = ListContents(
            _shown(f"{state.title}|"), rows, state.rank, hints, line, Role.FAULT if state.wrong else Role.QUIET
        )
        return list_picture(contents, canvas)

    def press(self, x: float, y: float, canvas: Canvas) -> Intent | None:
        """Nothing but targets can be clicked."""
        return None

    def close(self) -> None:
        """Nothing is held."""

    def _about(self, folder: Path) -> str:
        if folder == self._places[0]:
            return "the program's own"
        return "your home folder" if _named(folder) == HOME else ""

    def _first_page(self) -> None:
        self.state = replace(self.state, inside=None, folders=self._places, rank=0, wrong="")

    def _enter(self, folder: Path) -> None:
        self._reading = Worker(lambda: list_folder(str(folder)), "folder reader")
        self._reading.start()
        self._reading.join(AT_ONCE_S)
        self.tick()

    def _save(self) -> None:
        state = self.state
        title = one_line(state.title).strip()
        if not title:
            self.state = replace(state, wrong="a tune needs a title: type one")
            return
        try:
            if state.folder == self._places[0]:
                state.folder.mkdir(parents=True, exist_ok=True)
            path = free_path(state.folder, title)
            write_whole(path, self._text(title).encode("utf-8"))
        except UserError as error:
            self.state = replace(state, wrong=one_line(f"{error.what}; {error.remedy}"))
        except OSError as error:
            self.state = replace(state, wrong=fault_line("it cannot be saved", error, "choose another folder"))
        else:
            self.state = replace(state, saved=path, wrong="")
            self._saved(path)


def _named(folder: Path) -> str:
    """A folder as people read it."""
    name = one_line(from_home(folder))
    return HOME if name == "~/." else name


def _shown(title: str) -> str:
    return one_line(title) or "|"
