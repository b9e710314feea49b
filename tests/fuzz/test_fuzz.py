"""Whatever bytes come in, the readers refuse them in one line or read them; what fuzzing found once stays mended."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from tests.fuzz.child import SlowInput, Watch
from tests.fuzz.draws import Draws
from tests.fuzz.limits import HUNGRY_MB, LONGEST
from tests.fuzz.running import Fuzzers, fuzz, last_line
from tests.fuzz.seeds import seeds
from tests.fuzz.targets import TARGETS
from tests.referees import require_module

CASES = Path(__file__).parent / "cases"
KEPT = sorted(path for path in CASES.glob("*/*") if path.is_file())
FEWEST = 10
"""Inputs that even a busy machine comes to in that time: one of judge takes a tenth of a second."""

SEED = 20111221
"""A fixed random seed: whether a change passes must not depend on chance."""

SHORT_S = 1
"""For each target."""


@pytest.mark.parametrize("path", KEPT, ids=lambda path: f"{path.parent.name}-{path.stem}")
def test_what_was_found_once_stays_mended(path: Path) -> None:
    """Each case is the smallest input that failed, named for what it shows."""
    TARGETS[path.parent.name](path.read_bytes())


@pytest.mark.same_everywhere
@pytest.mark.parametrize("target", TARGETS)
def test_fuzzing_begins_with_what_is_well(target: str) -> None:
    """There are seeds for each target, and none of them fails."""
    assert seeds(target)
    for seed in seeds(target):
        TARGETS[target](seed)


@pytest.fixture(scope="module")
def fuzzers() -> Iterator[Fuzzers]:
    """To load and instrument the program for each target would take longer than to fuzz it."""
    require_module("atheris")
    with closing(Fuzzers()) as opened:
        yield opened


@pytest.mark.same_everywhere
@pytest.mark.parametrize("target", TARGETS)
def test_some_seconds_of_fuzzing_find_nothing(target: str, tmp_path: Path, fuzzers: Fuzzers) -> None:
    """Too short to find much; it shows that the fuzzer runs, and what would be found by anyone at once."""
    run = fuzz(fuzzers, target, SHORT_S, tmp_path / "corpus", tmp_path / "found", SEED)
    assert run.inputs >= FEWEST
    assert not run.new, [last_line(tmp_path / "found", name) for name in run.new]


def test_the_smallest_input_that_fails_in_one_place_is_kept(tmp_path: Path) -> None:
    """With its traceback beside it; what does not fail leaves nothing."""

    def fails_with_a_zero(data: bytes) -> None:
        if 0 in data:
            raise ValueError("a zero")

    watch = Watch(fails_with_a_zero, tmp_path)
    for data in (b"abc", b"ab\0cd", b"\0", b"abcd\0"):
        watch.run(data)
    kept = [path for path in tmp_path.iterdir() if path.suffix != ".txt"]
    assert [path.read_bytes() for path in kept] == [b"\0"]
    assert last_line(tmp_path, kept[0].name) == "ValueError: a zero"


def test_what_takes_too_long_is_a_finding(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """However it catches exceptions; what it was doing is told."""
    monkeypatch.setattr("tests.fuzz.child.SLOW_CPU_S", 0.05)

    def never_ends(data: bytes) -> None:
        while True:
            try:
                sum(range(1000))
            except Exception:
                continue

    Watch(never_ends, tmp_path).run(b"x")
    assert [path.name for path in tmp_path.glob("*.txt")] == ["SlowInput-never_ends.txt"]
    assert not issubclass(SlowInput, Exception)


def test_what_takes_too_much_memory_is_a_finding(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Though it gives it back: what counts is the most that the process ever had."""
    had_kb = [100_000]
    monkeypatch.setattr("tests.fuzz.child._peak_kb", lambda: had_kb[-1])
    watch = Watch(lambda data: had_kb.append(had_kb[-1] + 1100 * len(data)), tmp_path)
    watch.run(b"x" * (HUNGRY_MB - 10))
    assert not list(tmp_path.iterdir())
    watch.run(b"x" * HUNGRY_MB)
    assert [path.name.split("-")[0] for path in tmp_path.glob("*.txt")] == ["HungryInput"]


def test_choices_end_with_the_bytes() -> None:
    """Once they are used up each choice is the first one."""
    draws = Draws(b"\x05\x01")
    assert draws.one_of("abc") == "c"
    assert draws.rest() == b"\x01"
    assert [draws.byte(), draws.left, draws.one_of("abc"), draws.rest()] == [0, 0, "a", b""]


def test_no_seed_is_left_out_as_too_long() -> None:
    """All but a few of the spoilt takes, and the drills' book, are within LONGEST."""
    assert {target: max(map(len, seeds(target))) <= LONGEST[target] for target in TARGETS} == dict.fromkeys(
        TARGETS, True
    )
    assert len(seeds("judge")) > 40
