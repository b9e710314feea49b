"""What is mutated, and the tests that concern it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Target:
    """A package, its tests, and modules that stand beneath it: these are loaded once, not for every mutant."""

    package: str
    tests: tuple[str, ...]
    beneath: tuple[str, ...]


LISTEN = ("tests/companion/listen/model", "tests/companion/listen/rhythm", "tests/companion/listen/verdict")
UNDER_LISTEN = ("numpy", "mido", "fingering.crossings.blame", "companion.score.abc", "companion.schedule.build")
EAR = (
    *LISTEN,
    "tests/companion/listen/align",
    "tests/companion/listen/find",
    "tests/companion/listen/test_live.py",
    "tests/companion/listen/test_refusals.py",
)

TARGETS = {
    "crossings": Target(
        "fingering/crossings",
        # Ten thousand late fingers take 18 s, and what they show is shown by few of them.
        (
            "tests/fingering/crossings",
            "--deselect=tests/fingering/crossings/test_blame.py::test_a_late_finger_is_found_and_named_first",
            "tests/companion/commands/test_cross.py::test_how_long_a_noise_lasts_tells_what_it_is",
        ),
        ("numpy", "fingering.acoustics.sounding", "fingering.embellishments"),
    ),
    "rhythm": Target("companion/listen/rhythm", LISTEN, UNDER_LISTEN),
    "verdict": Target("companion/listen/verdict", LISTEN, UNDER_LISTEN),
    "model": Target("companion/listen/model", LISTEN, UNDER_LISTEN),
    "align": Target("companion/listen/align", EAR, UNDER_LISTEN),
    "find": Target("companion/listen/find", EAR, UNDER_LISTEN),
    "report": Target("companion/listen/report", ("tests/companion/listen/report",), UNDER_LISTEN),
}
