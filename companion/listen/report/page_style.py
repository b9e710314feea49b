"""The colours of the page for a teacher, by what they are for; the rest of its look is `templates/style.css`."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Palette:
    """Colours as a style sheet writes them ("#20242b"). Text is in ink, quiet, played or fault; past is for lines."""

    ground: str
    ink: str
    quiet: str
    past: str
    played: str
    fault: str
    guide: str
