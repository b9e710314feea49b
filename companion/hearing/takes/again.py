"""What is found again and again in a room or where hardly a note is sure: the sound's fault sooner than the
player's. Pure."""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Sequence

from companion.listen.model.asked import Asked
from companion.listen.model.findings import Finding, FindingKind

AGAIN = 3
"""A finding so often the same is one of the sound: a chanter's D that was learnt badly in a room was told for high G at
nine places (seed 1501), low A for a bore's high G under drones at eleven (seed 802), two gracenotes of its F doubling
were missing at all four (seed 1501)."""

MOST_MISSING = 0.2
"""Who leaves out more of all gracenotes than this does so everywhere."""

_BY_NAME = {FindingKind.EXTRA_GRACENOTE, FindingKind.WRONG_GRACENOTE, FindingKind.CROSSING}

_BY_PLACE = {FindingKind.MISSING_GRACENOTE, FindingKind.EXTRA_NOTE}


class FoundAgain:
    """Knows which findings were the same at many places of a take."""

    def __init__(self, findings: Sequence[Finding], asked: Asked) -> None:
        self._asked = asked
        missing = [each for each in findings if each.kind is FindingKind.MISSING_GRACENOTE]
        gracenotes = sum(not token.is_melody for token in asked.tokens)
        leaves_out = len(missing) > MOST_MISSING * gracenotes
        counted = Counter(self._about(each) for each in findings if not (leaves_out and each in missing))
        self._often = {about for about, count in counted.items() if about is not None and count >= AGAIN}

    def holds(self, finding: Finding) -> bool:
        """Whether a finding is one of those."""
        return self._about(finding) in self._often

    def _about(self, finding: Finding) -> Hashable:
        """What is alike in findings that are the same; None for one that is not counted."""
        if finding.throughout:
            return None
        if finding.kind in _BY_NAME:
            return finding.kind, finding.asked, finding.heard
        if finding.kind in _BY_PLACE:
            return finding.kind, finding.asked, finding.heard, self._embellishment(finding.played)
        return None

    def _embellishment(self, played: int) -> Hashable:
        """The notes from one melody note to the next, which holds the place."""
        ranks = [self._asked.note_tokens[each] for each in (max(0, played - 1), played)]
        first, last = (0 if rank is None else rank for rank in ranks)
        return tuple(token.note for token in self._asked.tokens[first : last + 1])
