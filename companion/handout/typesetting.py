"""The one place that uses typst, which sets pages as PDF, SVG or PNG; loaded when first asked for.

What is set is data: a template asks for it as JSON, so that no word of a tune is ever read as typst's markup. Nothing
is fetched: the template uses no packages, and the fonts are the project's own.
"""

from __future__ import annotations

import enum
import json
import re
import shutil
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from companion.files.fonts import FontFamily
from fingering.errors import UserError

if TYPE_CHECKING:
    from typst import OutputFormat, PDFStandard

PIXELS_PER_INCH = 300.0
"""Of a page as PNG: as printers have it. Pictures in a page are drawn to the nearest pixel, which shows at fewer."""

_ARCHIVED: tuple[PDFStandard, ...] = ("a-2a", "ua-1")
"""PDF for archives (ISO 19005-2, with its structure) and for those who have it read aloud (ISO 14289-1)."""
_UNUSUAL = re.compile("[^\x00-\u024f\u2000-\u206f]")
"""What is neither Latin nor punctuation, which our fonts have all of (Unicode blocks)."""
_NO_SIGN = "could not be displayed"


class PageFormat(enum.Enum):
    """What pages are written as."""

    PDF = "pdf"
    SVG = "svg"
    PNG = "png"


_TYPST_FORMATS: Mapping[PageFormat, OutputFormat] = MappingProxyType(
    {PageFormat.PDF: "pdf", PageFormat.SVG: "svg", PageFormat.PNG: "png"}
)


@dataclass(frozen=True, slots=True)
class SetPages:
    """Pages that were set: of a PDF one file, of the others one for each page. missing: what has no font here, "" for
    nothing; then it is no PDF for archives."""

    files: tuple[bytes, ...]
    missing: str = ""


def typeset(template: str, data: Mapping[str, Any], pictures: Mapping[str, str], form: PageFormat) -> SetPages:
    """Set the data by a template of this package. pictures: SVG files that it asks for, by their names.

    Raises UserError where it cannot be set.
    """
    # Pictures are files and no data: typst looks through all data whenever it calls one of its functions.
    with tempfile.TemporaryDirectory(prefix="eightholes-") as folder:
        shutil.copyfile(str(files(__package__) / "templates" / template), Path(folder, template))
        for name, svg in pictures.items():
            Path(folder, name).write_bytes(_encoded(svg))
        told = _encoded(json.dumps(data, ensure_ascii=False)).decode()
        unusual = any(_UNUSUAL.search(text) for text in (told, *pictures.values()))
        return _set_in(Path(folder, template), told, form, unusual=unusual)


def _encoded(text: str) -> bytes:
    """Text as UTF-8; half of a pair of surrogates, which is no sign, becomes a question mark."""
    return text.encode("utf-8", "replace")


def _set_in(source: Path, told: str, form: PageFormat, *, unusual: bool) -> SetPages:
    """Set a template. unusual: whether there may be signs that our fonts do not have."""
    import typst

    missing = ""
    # Fonts of the system are searched only for signs that ours do not have: that takes long, and no two systems agree.
    for with_system_fonts in (False, True):
        try:
            if unusual and form is not PageFormat.PDF:  # only a PDF for archives is refused for a sign without a font
                _compiled(source, told, PageFormat.PDF, _ARCHIVED, with_system_fonts)
            return SetPages(_compiled(source, told, form, _ARCHIVED, with_system_fonts), "")
        except typst.TypstError as error:
            if _NO_SIGN not in str(error):
                raise UserError(f"the page cannot be set: {error}", "leave away what is unusual in it") from None
            missing = str(error).partition("`")[2].partition("`")[0].strip('"')
    return SetPages(_compiled(source, told, form, (), True), missing)


def _compiled(
    source: Path, told: str, form: PageFormat, standards: Sequence[PDFStandard], with_system_fonts: bool
) -> tuple[bytes, ...]:
    import typst

    fonts = typst.Fonts(
        include_system_fonts=with_system_fonts,
        font_paths=[folder for family in FontFamily if (folder := family.folder)],
    )
    compiler = typst.Compiler(source, font_paths=fonts, sys_inputs={"data": told})
    made = compiler.compile(format=_TYPST_FORMATS[form], ppi=PIXELS_PER_INCH, pdf_standards=list(standards))
    return tuple(made) if isinstance(made, list) else (made or b"",)
