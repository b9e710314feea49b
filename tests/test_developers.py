"""What DEVELOPERS.md and README.md point to is there: a newcomer finds every change by the map."""

from __future__ import annotations

import re
from importlib import import_module
from pathlib import Path, PurePosixPath

import pytest

ROOT = Path(__file__).parent.parent
SOURCES = ("companion", "fingering", "tests", "tunes", ".ci")
MADE_WHEN_NEEDED = {"tests/fuzz/found"}
_PATH = re.compile(r"`(\.?[\w-]+(?:/[\w.-]+)*(?:/|\.(?:py|md|toml|html|svg|css))|\.?[\w-]+(?:/[\w.-]+)+)`")
_MODULE = re.compile(r"`((?:companion|fingering|tests)(?:\.\w+)+)`")


def named_in(document: str, pattern: re.Pattern[str]) -> list[str]:
    """What a document names in backticks, each once."""
    found = pattern.findall((ROOT / document).read_text(encoding="utf-8"))
    return sorted({name.rstrip("/") for name in found} - MADE_WHEN_NEEDED)


def all_paths() -> list[PurePosixPath]:
    """Every file and folder of the project's own, from its root."""
    below = [path for source in SOURCES for path in (ROOT / source).rglob("*") if "__pycache__" not in path.parts]
    return [PurePosixPath(path.relative_to(ROOT).as_posix()) for path in (*below, *ROOT.iterdir())]


def is_tail(name: str, path: PurePosixPath) -> bool:
    """Whether `path` ends with the parts of `name`; a path of a test is named in full."""
    whole = str(path)
    return whole == name or (not whole.startswith("tests/") and whole.endswith(f"/{name}"))


@pytest.mark.same_everywhere
@pytest.mark.parametrize("document", ["DEVELOPERS.md", "README.md"])
def test_every_path_is_the_end_of_one_path_of_the_project(document: str) -> None:
    """A path may leave out the folders above it where only one file or folder ends so."""
    paths = all_paths()
    found = {name: [str(path) for path in paths if is_tail(name, path)] for name in named_in(document, _PATH)}
    assert {name: ends for name, ends in found.items() if len(ends) != 1} == {}


def test_the_map_names_many_places() -> None:
    """The pattern finds the paths, so that the test above is not empty."""
    assert len(named_in("DEVELOPERS.md", _PATH)) > 80


@pytest.mark.parametrize("name", named_in("DEVELOPERS.md", _MODULE))
def test_every_dotted_name_can_be_imported(name: str) -> None:
    """It is a module, or something in one."""
    owner, _, last = name.rpartition(".")
    assert hasattr(import_module(owner), last) or import_module(name)


def test_every_package_is_on_the_map() -> None:
    """Each folder of code is named, or folders in it are."""
    named = named_in("DEVELOPERS.md", _PATH)
    packages = [
        path.parent for source in ("companion", "fingering") for path in (ROOT / source).glob("*/**/__init__.py")
    ]
    for package in (PurePosixPath(path.relative_to(ROOT).as_posix()) for path in packages):
        within = any(name.startswith(f"{package}/") for name in named)
        assert within or any(is_tail(name, package) for name in named), package
