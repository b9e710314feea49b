"""Late notes that may have been a bar begun again: kept back until it is heard whether they were."""

from __future__ import annotations

from collections.abc import Iterable

from companion.listen.model.findings import Finding, FindingKind

HESITATED_MS = 250.0
HESITATION_NOTES = 8
"""A note so late may have begun a bar again: the ear waits so many notes to hear whether it did, and then says that
alone."""


class PendingLateness:
    """Findings of lateness that are kept back, each with the number of notes that it still waits for."""

    def __init__(self) -> None:
        self._waiting: list[tuple[int, Finding]] = []

    def pass_note(self, found: Iterable[Finding]) -> list[Finding]:
        """Return what can be said once one more note was judged, with these findings; the rest is kept back."""
        said = [each for left, each in self._waiting if left <= 1]
        self._waiting = [(left - 1, each) for left, each in self._waiting if left > 1]
        for each in found:
            if each.kind is FindingKind.LATE and (each.ms or 0.0) >= HESITATED_MS:
                self._waiting.append((HESITATION_NOTES, each))
            else:
                said.append(each)
        return said

    def forget(self) -> None:
        """Drop what waits: a bar was begun again, and that explains it."""
        self._waiting.clear()

    def finish(self) -> list[Finding]:
        """Return what still waits at the end of the take."""
        return [each for _, each in self._waiting]
