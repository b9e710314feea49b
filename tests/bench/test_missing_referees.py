"""What the benchmarks do on a machine that lacks the programs they compare with."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from tests.bench.__main__ import main


def test_a_missing_referee_is_named_in_a_line_and_the_next_benchmark_begins(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Where nothing is on the path, two benchmarks in a row each say what they lack, and none ends the run."""
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.setattr(sys, "argv", ["bench", "cost", "sound"])
    main()
    assert capsys.readouterr().out.splitlines() == [
        "== cost",
        "not measured to the end: the program 'abc2midi' is not installed",
        "== sound",
        "not measured to the end: the program 'fluidsynth' is not installed",
    ]
