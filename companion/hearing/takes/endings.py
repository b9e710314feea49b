"""By which endings of its name a file is taken for a recording; it needs nothing that hears."""

from __future__ import annotations

from pathlib import Path

SOUND_ENDINGS = frozenset(
    [
        ".wav",
        ".wave",
        ".flac",
        ".ogg",
        ".oga",
        ".opus",
        ".mp3",
        ".m4a",
        ".m4b",
        ".aac",
        ".aif",
        ".aiff",
        ".caf",
        ".au",
        ".wma",
        ".amr",
        ".3gp",
        ".mp4",
        ".m4v",
        ".mov",
        ".mkv",
        ".webm",
        ".avi",
    ]
)
"""By these endings a take is taken for a recording."""

_FILM_ENDINGS = frozenset([".mp4", ".m4v", ".mov", ".mkv", ".webm", ".avi", ".3gp"])
NO_FILMS = SOUND_ENDINGS - _FILM_ENDINGS
"""What is looked for beside a tune, whose folder may hold films of anything."""


def is_recording(path: str | Path) -> bool:
    """Whether a take is a recording, by its name."""
    return Path(path).suffix.lower() in SOUND_ENDINGS
