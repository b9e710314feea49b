"""Sets hand-outs on paper: as one PDF, or as pages of SVG or PNG."""

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace
from types import MappingProxyType
from typing import Any

from companion.handout.inline_svg import inlined
from companion.handout.model import Handout, HandoutStyle, PrintedPicture
from companion.handout.tune_sheet import LETTER_COLUMN
from companion.handout.typesetting import PageFormat, SetPages, typeset
from companion.lesson.page.care import CARE
from companion.score.engrave.lines import OVERHANG
from companion.score.engrave.paper import A4, LETTER
from companion.score.engrave.style import TitlePlace

_PAPERS = MappingProxyType({A4: "a4", LETTER: "us-letter"})


def set_handout(handout: Handout, style: HandoutStyle, form: PageFormat) -> SetPages:
    """The pages of a hand-out. Raises UserError where they cannot be set."""
    pictures: dict[str, str] = {}
    data = {
        **_data_of(handout, pictures),
        "paper": _PAPERS[style.paper],
        "margin": style.paper.margin,
        "centred": style.staff.title is TitlePlace.CENTRE,
        "overhang": OVERHANG,
        "letter_column": LETTER_COLUMN,
        "care": CARE,
    }
    pages = typeset("handout.typ", data, {name: svg for svg, name in pictures.items()}, form)
    if form is PageFormat.SVG:
        return replace(pages, files=tuple(inlined(page) for page in pages.files))
    return pages


def _data_of(value: Any, pictures: dict[str, str]) -> Any:
    """A value as JSON has it, the SVG of each picture as the name of a file: `pictures` has them, each once."""
    if isinstance(value, PrintedPicture):
        file = pictures.setdefault(value.svg, f"{len(pictures)}.svg")
        return {"file": file, "width": value.width, "height": value.height, "alt": value.alt}
    if isinstance(value, tuple):
        return [_data_of(each, pictures) for each in value]
    if is_dataclass(value):
        return {field.name: _data_of(getattr(value, field.name), pictures) for field in fields(value)}
    return value
