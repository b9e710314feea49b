"""The rows of the list, and what choosing each of them does."""

from __future__ import annotations

from dataclasses import dataclass

from companion.files.lines import one_line
from companion.score.model import Meter, Tune
from companion.window.choose.search import folded


@dataclass(frozen=True, slots=True)
class ToTune:
    """Play a tune, of a book or of ours."""

    tune: Tune


@dataclass(frozen=True, slots=True)
class ToPath:
    """Open a file, or show a folder."""

    path: str


@dataclass(frozen=True, slots=True)
class ToFirstPage:
    """Show the first page."""


@dataclass(frozen=True, slots=True)
class ToLastSet:
    """Play the set of tunes that was chosen last."""


Choice = ToTune | ToPath | ToFirstPage | ToLastSet


@dataclass(frozen=True, slots=True)
class ChoiceRow:
    """One row: its name, what is said about it, what choosing it does (None for a heading), the words it is found by.

    words: as `folded` makes them; "" for a row that no search finds.
    """

    name: str
    about: str = ""
    choice: Choice | None = None
    words: str = ""


_ABC_SIGNS = ("C", "C|")


def _metre(meter: Meter) -> str:
    """A metre as it stands on a staff; for ABC's letters of common and cut time, the figures that they mean."""
    return f"{meter.beats}/{meter.unit}" if meter.text in _ABC_SIGNS else meter.text


def tune_row(tune: Tune) -> ChoiceRow:
    """A tune by its title, found by title, composer and rhythm."""
    about = ", ".join(filter(None, (one_line(tune.composer), one_line(tune.rhythm), _metre(tune.meter))))
    words = folded(f"{tune.title} {tune.composer} {tune.rhythm}")
    return ChoiceRow(one_line(tune.title) or "without a title", about, ToTune(tune), words)
