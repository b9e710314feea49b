"""Where in the tune the next note is looked for: sizes are choices between speed and what may be missed, no source."""

from __future__ import annotations

from companion.listen.align.cost.tables import Tables
from companion.listen.align.wide.scope import Scope, drifted, places_in
from tests.companion.listen.playing import asked_of

PART = "|:A2B2c2d2|e2f2e2d2|c2B2A2B2|c2d2e2c2:|"
LONG, SHORT = Tables(asked_of(PART * 12)), Tables(asked_of(PART * 2))


def places(scope: Scope, centre: int, tables: Tables = LONG) -> list[int]:
    """The places searched about one."""
    found: list[int] = places_in(tables, scope, centre).tolist()
    return found


def test_everywhere_is_the_whole_tune() -> None:
    """From the place before the first token on."""
    assert places(Scope.EVERYWHERE, 100) == list(range(LONG.size))


def test_wide_is_176_back_and_55_ahead_and_the_beginnings_of_the_nearest_parts() -> None:
    """Fourteen notes of the six nearest, and of the tune itself."""
    found = places(Scope.WIDE, 200)
    about = list(range(24, 256))
    nearest = sorted(LONG.far_starts, key=lambda start: abs(start - 200))[:6]
    beginnings = {place for start in (1, *nearest) for place in range(start, start + 14)}
    assert found == sorted({*about, *beginnings})
    assert found[:15] == [*range(1, 15), found[14]]
    assert places(Scope.WIDE, 3)[-1] >= 58
    assert 0 in places(Scope.WIDE, 3)


def test_beginnings_of_parts_far_off_are_looked_for_one_by_one() -> None:
    """Where parts are long, fourteen notes of each of the six nearest lie outside what is about the place."""
    tables = Tables(asked_of("|:" + "A2B2c2d2|e2f2e2d2|" * 30 + ":|" + PART))
    centre = 150
    found = places(Scope.WIDE, centre, tables)
    far = [start for start in tables.far_starts if start >= centre + 56]
    assert far
    assert [place for place in found if place >= centre + 56] == sorted(
        {place for start in far for place in range(start, min(tables.size, start + 14))}
    )


def test_a_tune_of_152_places_is_searched_whole() -> None:
    """Wide is then everywhere."""
    assert places(Scope.WIDE, 30, SHORT) == list(range(SHORT.size))


def test_a_window_is_laid_anew_after_20_places_either_way() -> None:
    """The present place has then drifted from its middle."""
    assert [drifted(200, place) for place in (220, 221, 180, 179)] == [False, True, False, True]
