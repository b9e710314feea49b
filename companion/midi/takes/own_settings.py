"""In which settings a learner plays tunes: kept in one small file for all tunes, each known by its notes."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from companion.files.folders import data_folder
from companion.files.keeping import read_kept, write_kept
from companion.files.kept_json import Table, Unfit
from companion.files.lines import one_line
from companion.midi.takes.heading import content_hash
from companion.score.model import Tune
from companion.score.setting import Change, Setting
from fingering.errors import UserError
from fingering.notes import Note

_WHAT = "the settings of tunes that are yours"

_LARGEST_RANK = 1_000_000
"""More notes than any tune has that is read."""

Kept = Mapping[str, Setting]
"""The setting of each tune that has one, by its content hash."""


def own_settings_path() -> Path:
    """Where the file is kept. Raises UserError."""
    return data_folder() / "own-settings.json"


def read_own_settings(path: Path) -> Kept:
    """Read the file; empty where there is none yet. Raises UserError for a spoilt one, which is renamed."""
    return read_kept(path, _from_table, _WHAT) or {}


def write_own_setting(path: Path, tune: Tune, setting: Setting) -> None:
    """Keep the setting of one tune beside those of all others; an empty one is taken back. Raises UserError."""
    try:
        kept = dict(read_own_settings(path))
    except UserError:
        if path.exists():
            raise
        kept = {}  # the spoilt file is set aside
    kept.pop(content_hash(tune), None)
    if setting:
        kept[content_hash(tune)] = setting
    write_kept(path, {content: _to_plain(each) for content, each in kept.items()}, _from_table, _WHAT)


def _to_plain(setting: Setting) -> dict[str, dict[str, Any]]:
    return {
        str(each.rank): {
            "asked": each.asked.letter,
            "played": "" if each.note is None else each.note.letter,
            "gracenotes": _letters(each.gracenotes),
            "added": _letters(each.added),
        }
        for each in setting
    }


def _letters(notes: tuple[Note, ...]) -> str:
    return "".join(note.letter for note in notes)


def _from_table(plain: Table) -> Kept:
    return {content: _setting(plain.table(content)) for content in plain.keys}


def _setting(plain: Table) -> Setting:
    return tuple(sorted((_change(rank, plain.table(rank)) for rank in plain.keys), key=lambda each: each.rank))


def _change(rank: str, plain: Table) -> Change:
    if not rank.isdecimal() or not rank.isascii() or len(rank) > len(str(_LARGEST_RANK)):
        raise Unfit(f"'{one_line(rank[:20])}' is not the number of a note")
    asked, played = _notes(plain, "asked"), _notes(plain, "played")
    if len(asked) != 1 or len(played) > 1:
        raise Unfit("'asked' is not one note, or 'played' more than one")
    note = played[0] if played else None
    return Change(int(rank), asked[0], note, _notes(plain, "gracenotes"), _notes(plain, "added"))


def _notes(plain: Table, key: str) -> tuple[Note, ...]:
    try:
        return tuple(Note.from_letter(letter) for letter in plain.text(key))
    except UserError as error:
        raise Unfit(one_line(error.what)) from None


class OwnSettings:
    """The settings of a learner's tunes while the program runs: read once, and kept whenever one changes.

    Where there is no folder to keep them in, or the file is spoilt, they hold until the program ends. path: of the
    file, None for no file at all.
    """

    def __init__(self, path: Path | None) -> None:
        self._path = path
        self._held: dict[str, Setting] = {}
        self._lately: tuple[Tune, Setting] | None = None
        self.trouble = ""
        if path is not None:
            try:
                self._held = dict(read_own_settings(path))
            except UserError as error:
                self.trouble = one_line(f"{error.what}; {error.remedy}")

    @classmethod
    def at_home(cls) -> OwnSettings:
        """Those in the program's own folder; without a home, none are kept."""
        try:
            return cls(own_settings_path())
        except UserError:
            return cls(None)

    def of(self, tune: Tune) -> Setting:
        """The setting in which a tune is played; empty for the tune as it is written."""
        if self._lately is None or self._lately[0] is not tune:  # asked in every frame, and a hash takes its time
            self._lately = tune, self._held.get(content_hash(tune), ())
        return self._lately[1]

    def change(self, tune: Tune, setting: Setting) -> None:
        """Play a tune in another setting from now on, empty for as it is written; `trouble` says if it is not kept."""
        self._held[content_hash(tune)] = setting
        self._lately = None
        self.trouble = ""
        if self._path is None:
            self.trouble = "you have no home folder to keep it in: it holds until the program ends"
            return
        try:
            write_own_setting(self._path, tune, setting)
        except (UserError, OSError) as error:
            told = f"{error.what}; {error.remedy}" if isinstance(error, UserError) else str(error)
            self.trouble = one_line(f"it holds until the program ends: {told}")
