"""Finds the fonts that the program draws with: those of two packages that it asks for."""

from __future__ import annotations

import enum
import importlib.util
from pathlib import Path


class FontFamily(enum.Enum):
    """A family of fonts: its value is the name that is in its files, for whatever asks for a font by name."""

    SERIF = "Source Serif Pro"
    SANS = "Source Sans Pro"

    @property
    def folder(self) -> Path | None:
        """The folder of its files; None where its package is not installed."""
        spec = importlib.util.find_spec(f"font_{self.value.lower().replace(' ', '_')}")
        folders = spec.submodule_search_locations if spec else None
        return Path(next(iter(folders))) / "files" if folders else None

    def file(self, name: str) -> Path | None:
        """The file of one of its fonts, by its whole name; None where it is not there."""
        path = self.folder / name if self.folder else None
        return path if path and path.is_file() else None

    @property
    def package(self) -> str:
        """The package that brings it, as it is installed."""
        return f"font-{self.value.lower().replace(' ', '-')}"
