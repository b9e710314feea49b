"""Survivors that were looked at and behave as the code does."""

from __future__ import annotations

import tomllib
from pathlib import Path

from tests.mutation.mutants import Mutant

JUDGED = Path(__file__).with_name("equivalent.toml")


def reasons() -> dict[tuple[str, str, str], str]:
    """Why a mutant is none, by its path, the line as it was and as it becomes."""
    tables = tomllib.loads(JUDGED.read_text(encoding="utf-8"))
    return {
        (path, row["was"], becomes): row["why"]
        for path, rows in tables.items()
        for row in rows
        for becomes in row["becomes"]
    }


def key(mutant: Mutant) -> tuple[str, str, str]:
    """What `reasons` knows a mutant by."""
    return str(mutant.path), mutant.was, mutant.becomes
