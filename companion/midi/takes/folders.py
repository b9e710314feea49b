"""Where this program keeps what it writes: the data folder of the XDG Base Directory Specification 0.8."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path

OVERRIDE = "EIGHTHOLES_DATA"
"""The environment variable that puts everything this program writes into another folder."""


def data_folder(environment: Mapping[str, str] = os.environ) -> Path:
    """The folder for takes and for what is known of the ports; it need not exist. Relative XDG paths are ignored."""
    if environment.get(OVERRIDE):
        return Path(environment[OVERRIDE])
    xdg = Path(environment.get("XDG_DATA_HOME", ""))
    home = xdg if xdg.is_absolute() else Path(environment.get("HOME") or Path("~").expanduser()) / ".local" / "share"
    return home / "eightholes"


def takes_folder(environment: Mapping[str, str] = os.environ) -> Path:
    """The folder of the takes."""
    return data_folder(environment) / "takes"
