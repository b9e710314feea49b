"""Referees: programs, files and libraries that compute the same facts in their own way.

A user who lacks one gets a skipped test; continuous integration (CI=true) must have them all, but for what is not made
for the Python that runs.
"""

from __future__ import annotations

import glob
import importlib
import os
import shutil
import sys
from pathlib import Path
from types import ModuleType
from typing import NoReturn

import pytest

_NOT_MADE_FROM = {"rtmidi": (3, 13)}
"""The first Python for which a library is not ready made: as in pyproject.toml."""


def require_program(name: str) -> str:
    """The path of a program of that name."""
    return shutil.which(name) or _missing(f"the program '{name}'")


def require_file(pattern: str) -> Path:
    """The last file, in sorted order, that a path or glob pattern finds."""
    found = sorted(glob.glob(pattern))
    return Path(found[-1]) if found else _missing(f"the file '{pattern}'")


def require_module(name: str) -> ModuleType:
    """The library of that name."""
    try:
        return importlib.import_module(name)
    except ImportError:
        if sys.version_info >= _NOT_MADE_FROM.get(name, (4,)):
            pytest.skip(f"the library '{name}' is not made for this Python")
        return _missing(f"the library '{name}'")


def _missing(what: str) -> NoReturn:
    message = f"{what} is not installed"
    if os.environ.get("CI") == "true":
        pytest.fail(message)
    pytest.skip(message)
