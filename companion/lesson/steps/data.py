"""The steps of a lesson as JSON."""

from __future__ import annotations

from typing import Any

from companion.lesson.model.steps import Lesson, Step
from companion.lesson.steps.words import done_words


def steps_to_data(lesson: Lesson) -> list[dict[str, Any]]:
    """The steps of a lesson, one object each; bars by the numbers that `eightholes read --json` gives."""
    return [_step(step) for step in lesson.steps]


def _step(step: Step) -> dict[str, Any]:
    return {
        "kind": step.kind.value,
        "what": step.what,
        "bars": list(step.bars),
        "tempo": step.beats_per_minute,
        "slow": step.slow_down,
        "done_when": done_words(step),
    }
