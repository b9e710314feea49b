"""Decides whether a path found in a stranger's file may be opened."""

from __future__ import annotations

import re

# Two slashes of either kind begin a share of another computer on Windows (\\server\share, \\?\UNC\server), and on some
# Unix systems as well; two letters or more and a colon begin a URL (one letter is a drive).
_ELSEWHERE = re.compile(r"[\\/]{2}|[a-z][a-z0-9+.-]+:", re.IGNORECASE)


def on_this_computer(path: str) -> bool:
    """Whether a path names a file of this computer.

    To open one on another computer would tell that one who asks, and may wait for it.
    """
    return path.isprintable() and not _ELSEWHERE.match(path.lstrip())
