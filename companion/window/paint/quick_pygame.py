"""Loads pygame, and nothing beside it that this program does not use.

pygame looks for its own font and icon through setuptools' `pkg_resources` where that is installed, and by its folder
where it is not. pkg_resources reads the metadata of every installed package when it is imported, which takes as long as
a quarter of all before the first frame; so pygame is told that there is none.

pygame loads numpy, whose OpenBLAS starts a thread for each core, for products of large matrices. This program has none.
"""

from __future__ import annotations

import importlib
import os
import sys

_UNWANTED = "pkg_resources"


def load_pygame() -> None:
    """Load pygame, unless it is loaded already. To be called before any module is imported that imports pygame."""
    if "pygame" in sys.modules or _UNWANTED in sys.modules:
        return
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    sys.modules[_UNWANTED] = None  # type: ignore[assignment]  # Python's own sign of a module that cannot be imported
    try:
        importlib.import_module("pygame")
    finally:
        del sys.modules[_UNWANTED]
