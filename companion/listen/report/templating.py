"""Templates of pages: whatever a page is told is text, never markup; what it is not told is an error."""

from __future__ import annotations

from functools import cache

from jinja2 import ChoiceLoader, Environment, PackageLoader, StrictUndefined


@cache
def templates_of(*packages: str) -> Environment:
    """The templates in the folders `templates` of packages, those of the first before those of the next."""
    templates = Environment(
        loader=ChoiceLoader([PackageLoader(package) for package in packages]),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    templates.filters["units"] = "{:.0f}".format
    templates.filters["tenths"] = "{:.1f}".format
    return templates
