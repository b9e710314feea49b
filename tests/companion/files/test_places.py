"""A path that a stranger's file tells leads to this computer, or is not opened."""

from __future__ import annotations

import pytest

from companion.files.places import on_this_computer


@pytest.mark.parametrize(
    "path", ["a.abc", "tunes/a.abc", "/home/me/a.abc", r"C:\tunes\a.abc", "c:/a.abc", "../a:b.abc"]
)
def test_paths_of_this_computer(path: str) -> None:
    """A letter and a colon are a drive of Windows (common practice, no source)."""
    assert on_this_computer(path)


@pytest.mark.parametrize(
    "path",
    [
        "//server/share/x.abc",
        r"\\server\share\x.abc",
        r"/\server\share\x.abc",
        r"\/server/share/x.abc",
        r"\\?\UNC\server\share\x.abc",
        r"\\.\pipe\x",
        " //server/share/x.abc",
        "smb://server/share/x.abc",
        "smb:server",
        "FILE://server/x.abc",
        "https://example.org/x.abc",
        "a\n.abc",
        "a\0.abc",
    ],
)
def test_paths_that_lead_elsewhere_or_are_none(path: str) -> None:
    """Shares by either slash, URLs, and names with control characters."""
    assert not on_this_computer(path)
