"""Prints the frozen table of one tuning as a Python module.

Run it as ``python3 -m fingering.acoustics.freeze harmonic > fingering/acoustics/table_harmonic.py``.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from dataclasses import replace

from fingering.acoustics.calibrate import SKETCH, calibrate
from fingering.acoustics.ensemble import cents_above_low_a, members, uncertainties_cents
from fingering.acoustics.geometry import Chanter, ToneHole
from fingering.acoustics.ladder import ALL_STATES, Model, resonances
from fingering.errors import UserError
from fingering.notes import TUNINGS, Tuning

PLACE_DIGITS = 3  # of a millimetre: under 0.01 cents


def main(arguments: Sequence[str]) -> int:
    """Print the module of the tuning that is named in `arguments`; returns the exit status."""
    try:
        for line in module_lines(_tuning_named(*arguments[:1])):
            print(line)
    except UserError as error:
        print(error, file=sys.stderr)
        return 2
    return 0


def _tuning_named(name: str = "") -> Tuning:
    for tuning in TUNINGS:
        if tuning.name == name:
            return tuning
    raise UserError(f"there is no tuning '{name}'", f"name one of {', '.join(tuning.name for tuning in TUNINGS)}")


def frozen_chanter(tuning: Tuning) -> Chanter:
    """The reference chanter of a tuning, its places rounded as they are printed."""
    exact = calibrate(SKETCH, tuning)
    holes = tuple(ToneHole(hole.diameter_mm, round(hole.position_mm, PLACE_DIGITS)) for hole in exact.holes)
    return replace(exact, holes=holes, foot_mm=round(exact.foot_mm, PLACE_DIGITS))


def module_lines(tuning: Tuning) -> Iterator[str]:
    """The Python source of the frozen table of `tuning`, line by line."""
    model = Model(frozen_chanter(tuning))
    yield f'"""The reference chanter in the {tuning.name} tuning: computed, not measured.'
    yield ""
    yield f"Printed by ``python3 -m fingering.acoustics.freeze {tuning.name}``; a test computes it again."
    yield '"""'
    yield ""
    yield "from __future__ import annotations"
    yield ""
    yield "from fingering.acoustics.geometry import Chanter, ToneHole"
    yield ""
    yield from _chanter_lines(model.chanter)
    yield ""
    yield "# By hole state, 0 to 255: cents above low A, uncertainty in cents, Q, support of the third harmonic."
    yield from _row_lines(model, members(tuning))


def _chanter_lines(chanter: Chanter) -> Iterator[str]:
    yield "CHANTER = Chanter("
    yield f"    bore_mm={chanter.bore_mm},"
    yield f"    wall_mm={chanter.wall_mm},"
    yield "    holes=("
    for hole in chanter.holes:
        yield f"        ToneHole(diameter_mm={hole.diameter_mm}, position_mm={hole.position_mm}),"
    yield "    ),"
    yield f"    foot_mm={chanter.foot_mm},"
    yield ")"


def _row_lines(model: Model, others: tuple[Chanter, ...]) -> Iterator[str]:
    found = resonances(model)
    columns = zip(
        cents_above_low_a(model).tolist(),
        uncertainties_cents(model, others).tolist(),
        found.qualities,
        found.supports,
        strict=True,
    )
    yield "ROWS = ("
    for state, (cents, uncertainty_cents, quality, support) in zip(ALL_STATES, columns, strict=True):
        yield f"    ({cents:.3f}, {uncertainty_cents:.2f}, {quality:.2f}, {support:.3f}),  # {state}"
    yield ")"


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
