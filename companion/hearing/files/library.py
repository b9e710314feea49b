"""The one module that loads soundfile, which brings libsndfile."""

from __future__ import annotations

from typing import Any

from fingering.errors import UserError


def sound_library() -> Any:
    """soundfile. Raises UserError where it is not there."""
    try:
        import soundfile
    except (ImportError, OSError):
        remedy = "install it: python3 -m pip install soundfile"
        raise UserError("sound files need the Python package 'soundfile', which is not there", remedy) from None
    return soundfile
