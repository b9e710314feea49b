"""The one place that uses resvg, which turns SVG into pixels; loaded when first asked for."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from types import ModuleType

from fingering.errors import UserError


def load_resvg() -> ModuleType:
    """Load resvg. Raises UserError where it is not there."""
    try:
        import resvg_py
    except ImportError as error:
        raise UserError(f"resvg cannot be loaded ({error})", "install it: python3 -m pip install resvg-py") from None
    return resvg_py


def png_of_svg(svg: str, fonts: Sequence[Path] = (), ground: str | None = None) -> bytes:
    """An SVG drawing as a PNG picture of its own width and height.

    fonts: the files that its words may be set in. ground: the colour behind it, None for a transparent one. Raises
    UserError where it cannot be drawn, or resvg is not there.
    """
    resvg = load_resvg()
    try:
        png = resvg.svg_to_bytes(
            svg_string=svg, background=ground, skip_system_fonts=True, font_files=[str(path) for path in fonts]
        )
    except ValueError as error:
        raise UserError(f"a drawing cannot be turned into pixels ({error})", "see whether it is whole") from None
    return bytes(png)
