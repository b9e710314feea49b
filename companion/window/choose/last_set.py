"""The set of tunes that was chosen last, kept for the next time in one small file among the program's own."""

from __future__ import annotations

import os
from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from companion.files.folders import data_folder
from companion.files.keeping import read_kept, write_kept
from companion.files.kept_json import Table
from companion.files.late_writer import LateWriter
from companion.files.lines import one_line
from companion.files.places import on_this_computer
from companion.score.formats.books import read_tunes
from companion.score.model import Tune
from fingering.errors import UserError

if TYPE_CHECKING:  # the first frame shows no list, and does not wait for what a take's heading needs
    from companion.midi.takes.heading import TuneIdentity

MOST_TUNES = 100
_WHAT = "the set of tunes"
_OF_A_TUNE = ("title", "file", "reference", "content")


def last_set_path() -> Path:
    """Where it is kept. Raises UserError."""
    return data_folder() / "set.json"


def read_last_set(path: Path) -> tuple[TuneIdentity, ...]:
    """The tunes of the set, in order; none where none was kept. Raises UserError for a spoilt file, set aside."""
    return read_kept(path, _from_table, _WHAT) or ()


def write_last_set(path: Path, tunes: Sequence[TuneIdentity]) -> None:
    """Keep a set, whole or not at all. Raises UserError."""
    rows = [{name: getattr(tune, name) for name in _OF_A_TUNE} for tune in tunes[:MOST_TUNES]]
    write_kept(path, {"tunes": rows}, _from_table, _WHAT)


def _from_table(plain: Table) -> tuple[TuneIdentity, ...]:
    from companion.midi.takes.heading import TuneIdentity

    return tuple(TuneIdentity(*map(row.text, _OF_A_TUNE)) for row in plain.tables_up_to("tunes", MOST_TUNES))


def find_tune(wanted: TuneIdentity, at_hand: Sequence[Tune]) -> Tune:
    """A tune of a set: among those at hand, else in its file; one that was changed since has its title still.

    Raises UserError where it is nowhere.
    """
    found = _among(wanted, at_hand)
    if found is None and on_this_computer(wanted.file) and os.path.isfile(wanted.file):
        found = _among(wanted, read_tunes(Path(wanted.file)).tunes)
    if found is None:
        what = f"{one_line(wanted.title) or 'a tune'} of this set is not in its file any more"
        raise UserError(what, "choose the tunes of the set anew", one_line(wanted.file))
    return found


def _among(wanted: TuneIdentity, tunes: Sequence[Tune]) -> Tune | None:
    from companion.midi.takes.heading import content_hash

    same = (each for each in tunes if content_hash(each) == wanted.content)
    alike = (each for each in tunes if _place_of(each) == (wanted.file, wanted.reference, wanted.title))
    return next(same, None) or next(alike, None)


def _place_of(tune: Tune) -> tuple[str, str, str]:
    from companion.midi.takes.heading import TuneIdentity

    identity = TuneIdentity.of(tune)
    return identity.file, identity.reference, identity.title


class LastSet:
    """The set while the program runs: read when it is first asked for, written without the window waiting. For one
    thread. path: of its file, None for none: then nothing is kept."""

    def __init__(self, path: Path | None) -> None:
        self._path = path
        self._read = path is None
        self._held: tuple[TuneIdentity, ...] = ()
        self._writer = LateWriter("set writer", "the set of tunes cannot be kept", "change the set to try again")

    @classmethod
    def at_home(cls) -> LastSet:
        """The one in the program's own folder; without a home, none is kept."""
        try:
            return cls(last_set_path())
        except UserError:
            return cls(None)

    @property
    def tunes(self) -> tuple[TuneIdentity, ...]:
        """Its tunes, in order; none where no set was chosen."""
        if not self._read and self._path is not None:
            self._read = True
            try:
                self._held = read_last_set(self._path)
            except UserError as error:
                self._writer.told(error)
        return self._held

    @property
    def trouble(self) -> str:
        """Why it was not read or cannot be kept, and what to do; "" while all is well."""
        return self._writer.trouble

    def keep(self, tunes: Sequence[Tune]) -> None:
        """Keep these tunes as the set; none where it is no set any more."""
        from companion.midi.takes.heading import TuneIdentity

        self._read = True
        self._held = tuple(map(TuneIdentity.of, tunes))
        if self._path is not None:
            self._writer.write(partial(write_last_set, self._path, self._held))

    def go_on(self) -> None:
        """Once a frame: write what is still to be written."""
        self._writer.go_on()

    def close(self) -> None:
        """Write what is still to be written; returns when it is on the disk, or cannot be."""
        self._writer.close()
