"""The fonts of both families are found, with the names that their files give them."""

from __future__ import annotations

import pytest

from companion.files.fonts import FontFamily


@pytest.mark.parametrize("family", FontFamily)
def test_a_font_is_found_and_is_of_its_family(family: FontFamily) -> None:
    """The family's name stands in the file (OpenType, table `name`: UTF-16, big-endian)."""
    path = family.file(f"{family.value.replace(' ', '')}-Regular.ttf")
    assert path is not None
    assert family.value.encode("utf-16-be") in path.read_bytes()


def test_what_is_not_there_is_none(monkeypatch: pytest.MonkeyPatch) -> None:
    """A font of another name, and every font where the package is not installed."""
    assert FontFamily.SERIF.file("None-Such.ttf") is None
    monkeypatch.setattr("importlib.util.find_spec", lambda name: None)
    assert FontFamily.SERIF.folder is None
    assert FontFamily.SERIF.file("SourceSerifPro-Regular.ttf") is None
    assert FontFamily.SERIF.package == "font-source-serif-pro"
