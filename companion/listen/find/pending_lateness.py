"""Late notes that may have been a bar begun again: kept back until it is heard whether they were."""

from __future__ import annotations

from collections.abc import Iterable

from companion.listen.model.findings import Finding, FindingKind

HESITATED_MS = 250.0
HESITATION_NOTES = 8
"""A note so late may have begun a bar again: the ear waits so many notes to hear whether it did, and then says that
alone."""


class Hesitations:
    """Findings of lateness that wait, each with how many notes it has left to."""

    def __init__(self) -> None:
        self._waiting: list[tuple[int, Finding]] = []

    def pass_note(self, found: Iterable[Finding]) -> list[Finding]:
        """One note more was judged, with these findings; returns what can be said now, the rest is kept back."""
        said = [each for left, each in self._waiting if left <= 1]
        self._waiting = [(left - 1, each) for left, each in self._waiting if left > 1]
        for each in found:
            if each.kind is FindingKind.LATE and (each.ms or 0.0) >= HESITATED_MS:
                self._waiting.append((HESITATION_NOTES, each))
            else:
                said.append(each)
        return said

    def forget(self) -> None:
        """A bar was begun again: it was that."""
        self._waiting.clear()

    def finish(self) -> list[Finding]:
        """The take is over: what still waits."""
        return [each for _, each in self._waiting]
