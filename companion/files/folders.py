"""The folders in which this program keeps its own files, each where the system has such things.

On Linux these are the folders of the XDG Base Directory Specification 0.8, whose relative paths are ignored.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

from platformdirs import user_cache_path, user_config_path, user_data_path

from fingering.errors import UserError

OVERRIDE = "EIGHTHOLES_DATA"
"""The environment variable that names one folder for all that this program keeps: takes, ports and settings."""

_NAME = "eightholes"


def data_folder() -> Path:
    """The folder for takes and for what is known of the ports; it need not exist. Raises UserError."""
    return _overridden() or _found(lambda: user_data_path(_NAME, appauthor=False))


def settings_folder() -> Path:
    """The folder for the settings, which on Windows go with their user from computer to computer. Raises UserError."""
    return _overridden() or _found(lambda: user_config_path(_NAME, appauthor=False, roaming=True))


def takes_folder() -> Path:
    """The folder of the takes. Raises UserError."""
    return data_folder() / "takes"


def cache_folder() -> Path:
    """The folder for what can be worked out again, which the system or its user may empty. Raises UserError."""
    overridden = _overridden()
    return overridden / "cache" if overridden else _found(lambda: user_cache_path(_NAME, appauthor=False))


def from_home(path: Path) -> str:
    """A path as people read it: one below their home folder begins with "~"."""
    try:
        return f"~/{path.relative_to(Path.home()).as_posix()}"
    except (RuntimeError, ValueError):  # there is no home, or the path is elsewhere
        return str(path)


def _overridden() -> Path | None:
    named = os.environ.get(OVERRIDE)
    return Path(named) if named else None


def _found(look: Callable[[], Path]) -> Path:
    try:
        return look()
    except RuntimeError:  # what platformdirs and pathlib raise for a user without a home
        raise UserError("you have no home folder to keep anything in", f"set {OVERRIDE} to a folder of yours") from None
