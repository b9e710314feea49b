"""The one place that uses Verovio, which engraves MEI and turns MusicXML into it; loaded when first asked for."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from types import ModuleType
from typing import TYPE_CHECKING

from fingering.errors import UserError

if TYPE_CHECKING:
    from verovio import toolkit

OptionValue = str | int | float | bool
Options = Mapping[str, OptionValue]


def load_verovio() -> ModuleType:
    """Load Verovio, which takes a tenth of a second the first time. Raises UserError where it is not there."""
    try:
        import verovio
    except ImportError as error:
        raise UserError(f"Verovio cannot be loaded ({error})", "install it: python3 -m pip install verovio") from None
    return verovio


@contextmanager
def _loaded(data: str, options: Options) -> Iterator[toolkit]:
    """A toolkit of its own that has read `data`, MEI or MusicXML. Raises UserError where it cannot be read, or Verovio
    is not there."""
    verovio = load_verovio()
    verovio.enableLog(verovio.LOG_OFF)
    toolkit = verovio.toolkit()
    toolkit.setOptions(dict(options))
    if not toolkit.loadData(data):
        raise UserError("the music cannot be engraved", "see whether the file is whole")
    yield toolkit


def engrave_pages(mei: str, options: Options) -> tuple[str, ...]:
    """Each page of an MEI document as SVG. options: Verovio's own. Raises UserError."""
    with _loaded(mei, {**options, "xmlIdChecksum": True}) as toolkit:
        return tuple(toolkit.renderToSVG(page) for page in range(1, toolkit.getPageCount() + 1))


def mei_of_musicxml(musicxml: str) -> str:
    """The MEI that Verovio makes of a MusicXML document; ids are kept. Raises UserError where it makes none."""
    with _loaded(musicxml, {"breaks": "none"}) as toolkit:
        return str(toolkit.getMEI({"removeIds": False, "scoreBased": True}))
