"""What stands on a hand-out, as frozen data: a template sets it, and decides nothing but where it goes on a page."""

from __future__ import annotations

import enum
from dataclasses import dataclass

from companion.score.engrave.paper import A4, Paper
from companion.score.engrave.style import StaffStyle

_PLAIN = StaffStyle()


class TuneExtent(enum.Enum):
    """How much of a tune is handed out: plan, phrases with what is new in them, and the whole; or the whole alone."""

    LESSON = "lesson"
    WHOLE = "whole"


@dataclass(frozen=True, slots=True)
class HandoutStyle:
    """How hand-outs are to be printed. staff: where the title stands, too."""

    staff: StaffStyle = _PLAIN
    paper: Paper = A4
    extent: TuneExtent = TuneExtent.LESSON


@dataclass(frozen=True, slots=True)
class PrintedPicture:
    """An SVG, its width and height on paper in tenths of a millimetre, and in words what it shows."""

    svg: str
    width: float
    height: float
    alt: str


@dataclass(frozen=True, slots=True)
class StripCell:
    """An embellishment: name, gracenotes as ABC letters, how it is played, its strip; its staff where it has one."""

    name: str
    spelling: str
    how: str
    strip: PrintedPicture
    staff: PrintedPicture | None = None


@dataclass(frozen=True, slots=True)
class PhraseBlock:
    """A phrase of a tune: its letter, its lines of music, what is new in it."""

    name: str
    lines: tuple[PrintedPicture, ...]
    strips: tuple[StripCell, ...]


@dataclass(frozen=True, slots=True)
class WholeLine:
    """A line of a whole tune; `begins_part`: whether more room is left above it."""

    picture: PrintedPicture
    begins_part: bool


@dataclass(frozen=True, slots=True)
class TuneSheet:
    """A tune on paper. also: the other titles that it has, "" for none. plan: its phrases as letters; "" where the
    whole alone is handed out, without phrases; then its tempo is "" as well, for it stands over the music.

    least_scale: how small its phrases may be drawn and still be read from a music stand. short: whether all of it has
    to stand on two pages.
    """

    title: str
    also: str
    kind: str
    composer: str
    tempo: str
    plan: str
    phrases: tuple[PhraseBlock, ...]
    least_scale: float
    short: bool
    whole: tuple[WholeLine, ...]


@dataclass(frozen=True, slots=True)
class Handout:
    """All that is set: tunes, or embellishments. hands: what stands in front of strips; None where there are none.

    title, authors: what the file says of itself. contents: whether a table of contents comes first.
    """

    title: str
    authors: tuple[str, ...]
    tunes: tuple[TuneSheet, ...] = ()
    embellishments: tuple[StripCell, ...] = ()
    hands: PrintedPicture | None = None
    contents: bool = False
