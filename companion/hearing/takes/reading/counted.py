"""The evidence of a sound, counted for as much as what covers it leaves of that."""

from __future__ import annotations

from dataclasses import dataclass

from companion.hearing.heard import SoundEvidence
from companion.hearing.spectra import Floats


@dataclass(frozen=True, slots=True, eq=False)
class CountedEvidence:
    """Evidence, and what it counts for. costs: of each moment as each name, shape (moments, NAMES). changing: what a
    change of note costs at each moment besides, shape (moments,). Both in nats."""

    evidence: SoundEvidence
    costs: Floats
    changing: Floats
