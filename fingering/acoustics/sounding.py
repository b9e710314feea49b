"""Looks up what each of the 256 hole states sounds on a reference practice chanter: computed, not measured.

The tables are frozen data and load without numpy. To compute them anew see `ladder` (a chanter's resonances),
`calibrate` (a chanter for a tuning) and `freeze` (prints the tables).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from fingering.acoustics import table_harmonic, table_macneill
from fingering.acoustics.geometry import Chanter
from fingering.chart import chart, sounded
from fingering.errors import UserError
from fingering.holes import HoleState
from fingering.notes import HARMONIC, MACNEILL, Note, Tuning

_TABLES = {
    HARMONIC: (table_harmonic.CHANTER, table_harmonic.ROWS),
    MACNEILL: (table_macneill.CHANTER, table_macneill.ROWS),
}


@dataclass(frozen=True, slots=True)
class Sounding:
    """What a hole state sounds on the reference chanter.

    ratio, cents: frequency over low A's, and its distance above low A. uncertainty_cents: root mean square spread of
    `cents` over chanters of other bores, walls and hole sizes. q: quality factor of the resonance. veil: 0 (a full
    note) to 1 (a false fingering that hardly speaks): how much of its note's third harmonic it lacks. note: the note
    it is named by, from its topmost open hole. off_note_cents: how far above that note's own pitch it lies.
    """

    ratio: float
    cents: float
    uncertainty_cents: float
    q: float
    veil: float
    note: Note
    off_note_cents: float


@cache
def soundings(tuning: Tuning = HARMONIC) -> tuple[Sounding, ...]:
    """What all 256 states sound, indexed by HoleState. The nine notes of the chart are exactly in the tuning.

    Raises UserError for a tuning that no table was computed for.
    """
    _, rows = _table(tuning)
    in_chart = {chart(note): note for note in Note}
    own_support = {note: rows[state][3] for state, note in in_chart.items()}
    found = []
    for state, (cents, uncertainty_cents, q, support) in enumerate(rows):
        note = sounded(HoleState(state))
        exact = state in in_chart
        ratio = tuning.ratio(note) if exact else 2.0 ** (cents / 1200.0)
        pitch_cents = tuning.cents(note) if exact else cents
        veil = max(0.0, 1.0 - support / own_support[note])
        found.append(Sounding(ratio, pitch_cents, uncertainty_cents, q, veil, note, pitch_cents - tuning.cents(note)))
    return tuple(found)


def pitch_ratios(tuning: Tuning = HARMONIC) -> tuple[float, ...]:
    """Frequency over low A's of all 256 states, indexed by HoleState. Raises UserError as `soundings` does."""
    return tuple(sounding.ratio for sounding in soundings(tuning))


def veils(tuning: Tuning = HARMONIC) -> tuple[float, ...]:
    """How veiled each of the 256 states sounds, 0 to 1, indexed by HoleState. Raises UserError as `soundings` does."""
    return tuple(sounding.veil for sounding in soundings(tuning))


def reference_chanter(tuning: Tuning = HARMONIC) -> Chanter:
    """The chanter that the table of `tuning` was computed for. Raises UserError as `soundings` does."""
    return _table(tuning)[0]


def _table(tuning: Tuning) -> tuple[Chanter, tuple[tuple[float, float, float, float], ...]]:
    try:
        return _TABLES[tuning]
    except KeyError:
        known = ", ".join(each.name for each in _TABLES)
        raise UserError(f"no chanter was computed for the tuning '{tuning.name}'", f"use one of {known}") from None
