"""What is mutated, and the tests that concern it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Target:
    """A package, its tests, and modules that stand beneath it: these are loaded once, not for every mutant."""

    package: str
    tests: tuple[str, ...]
    beneath: tuple[str, ...]


EAR = "tests/companion/listen"
READING = (
    f"{EAR}/align",
    # The tunes that come with the program, each from several places, take 10 s.
    f"--ignore={EAR}/align/test_begin.py",
    f"{EAR}/find",
    f"{EAR}/model/test_findings.py",
)
UNDER_LISTEN = ("numpy", "mido", "fingering.crossings.blame", "companion.score.abc", "companion.schedule.build")
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
    "rhythm": Target("companion/listen/rhythm", (f"{EAR}/rhythm", f"{EAR}/verdict/gather/test_tempo.py"), UNDER_LISTEN),
    "verdict": Target("companion/listen/verdict", (f"{EAR}/verdict",), UNDER_LISTEN),
    "model": Target("companion/listen/model", (f"{EAR}/model", f"{EAR}/find", f"{EAR}/verdict"), UNDER_LISTEN),
    "align": Target("companion/listen/align", READING, UNDER_LISTEN),
    "find": Target("companion/listen/find", READING, UNDER_LISTEN),
    "report": Target("companion/listen/report", (f"{EAR}/report", f"{EAR}/verdict/test_verdict.py"), UNDER_LISTEN),
}
