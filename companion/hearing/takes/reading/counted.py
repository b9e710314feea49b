"""The evidence of a sound, counted for as much as what covers it leaves of that."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from companion.hearing.heard import SURE_NAME_NATS, HeardNote, SoundEvidence
from companion.hearing.spectra import Floats


@dataclass(frozen=True, slots=True, eq=False)
class CountedEvidence:
    """Evidence, and what it counts for. costs: of each moment as each name, shape (moments, NAMES). changing: what a
    change of note costs at each moment besides, shape (moments,). Both in nats."""

    evidence: SoundEvidence
    costs: Floats
    changing: Floats

    def sure_of(self, notes: Sequence[HeardNote]) -> CountedEvidence:
        """The evidence where each of these notes is surely itself, as long as it lasts."""
        costs = self.costs.copy() if notes else self.costs
        for each in notes:
            part = costs[self.evidence.moment(each.at_s) : self.evidence.moment(each.stop_s)]
            own = part[:, each.note].copy()
            np.maximum(part, own[:, np.newaxis] + np.float32(SURE_NAME_NATS), out=part)
            part[:, each.note] = own
        return replace(self, costs=costs)
