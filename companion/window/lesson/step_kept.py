"""Tells of which steps of a lesson takes are kept."""

from __future__ import annotations

from companion.lesson.model.steps import Step, StepKind

_KEPT = frozenset({StepKind.LINE, StepKind.PART, StepKind.JOINED, StepKind.WHOLE, StepKind.BY_HEART})
"""What is smaller is played so often that no one finds anything among its takes."""


def leaves_take(step: Step) -> bool:
    """Whether a round of a step is kept as a take."""
    return step.kind in _KEPT
