"""The README's table of keys, made from the tables of keys of all screens.

`python3 -m tests.readme_keys` writes it into README.md, between the two lines that mark its place.
"""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import companion.window
from companion.window.core.caps import CAPS
from companion.window.core.hints import KeyHint, KeyTable

README = Path(__file__).resolve().parent.parent / "README.md"
BEGIN, END = "<!-- keys -->", "<!-- /keys -->"
FIRST = "PLAY_TABLE"


def tables() -> dict[str, KeyTable[Any]]:
    """Every table of keys of the window by its name, that of the playing screen first."""
    found: dict[str, KeyTable[Any]] = {}
    for module in sorted(pkgutil.walk_packages(companion.window.__path__, "companion.window."), key=lambda m: m.name):
        names = vars(importlib.import_module(module.name)).items()
        found |= {name: each for name, each in names if isinstance(each, KeyTable)}
    return {FIRST: found[FIRST]} | found


def keys_in_words() -> str:
    """The table in Markdown: each key once, with a sentence for each thing that it does."""
    said: dict[str, list[str]] = {}
    for hint in _hints():
        caps = " ".join(f"`{CAPS[action]}`" for action in hint.actions if action in CAPS)
        sentences = said.setdefault(caps, [])
        if caps and hint.sentence not in sentences:
            sentences.append(hint.sentence)
    rows = [f"| {caps} | {' '.join(sentences)} |" for caps, sentences in said.items() if caps]
    return "\n".join(["| key | what it does |", "| --- | --- |", *rows])


def _hints() -> Iterator[KeyHint[Any]]:
    for table in tables().values():
        yield from table.sheet
        yield from table.foot


def with_keys(text: str) -> str:
    """A README with the table in its place."""
    before, _, rest = text.partition(BEGIN)
    after = rest.partition(END)[2]
    return f"{before}{BEGIN}\n{keys_in_words()}\n{END}{after}"


if __name__ == "__main__":
    README.write_text(with_keys(README.read_text(encoding="utf-8")), encoding="utf-8")
