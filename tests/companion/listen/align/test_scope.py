"""Where in the tune the next note is looked for: sizes are choices between speed and what may be missed, no source."""

from __future__ import annotations

from companion.listen.align.scope import Scope, next_scope, places_in
from companion.listen.align.search_window import SearchWindow
from companion.listen.align.tables import Tables
from tests.companion.listen.playing import asked_of

PART = "|:A2B2c2d2|e2f2e2d2|c2B2A2B2|c2d2e2c2:|"
LONG, SHORT = Tables(asked_of(PART * 12)), Tables(asked_of(PART * 2))


def places(scope: Scope, centre: int, tables: Tables = LONG) -> list[int]:
    """The places searched about one."""
    found: list[int] = places_in(tables, scope, centre).tolist()
    return found


def test_near_is_the_present_place_and_35_ahead() -> None:
    """To the end of the tune at most."""
    assert places(Scope.NEAR, 100) == list(range(100, 136))
    assert places(Scope.NEAR, LONG.size - 5) == list(range(LONG.size - 5, LONG.size))


def test_everywhere_is_the_whole_tune() -> None:
    """From the place before the first token on."""
    assert places(Scope.EVERYWHERE, 100) == list(range(LONG.size))


def test_wide_is_96_back_and_55_ahead_and_the_beginnings_of_the_nearest_parts() -> None:
    """Fourteen notes of the six nearest, and of the tune itself."""
    found = places(Scope.WIDE, 200)
    about = list(range(104, 256))
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


def laid(scope: Scope, centre: int) -> SearchWindow:
    """The window of that scope about a place."""
    return SearchWindow(LONG, places_in(LONG, scope, centre), centre, None)


def test_a_near_window_is_laid_anew_after_20_places() -> None:
    """And a wide one becomes near once all is settled."""
    near = laid(Scope.NEAR, 100)
    assert next_scope(LONG, near, 120, wide=False, lost=False, settled=True) is None
    assert next_scope(LONG, near, 121, wide=False, lost=False, settled=True) is Scope.NEAR
    assert next_scope(LONG, near, 121, wide=False, lost=False, settled=False) is None
    wide = laid(Scope.WIDE, 100)
    assert next_scope(LONG, wide, 100, wide=True, lost=False, settled=True) is Scope.NEAR


def test_a_wide_window_is_laid_anew_after_20_places_either_way() -> None:
    """While something is in doubt; one that shows the whole tune never."""
    wide = laid(Scope.WIDE, 200)
    for place, scope in ((220, None), (221, Scope.WIDE), (180, None), (179, Scope.WIDE)):
        assert next_scope(LONG, wide, place, wide=True, lost=False, settled=False) is scope
    assert next_scope(LONG, laid(Scope.EVERYWHERE, 200), 300, wide=True, lost=False, settled=False) is None


def test_who_is_lost_is_looked_for_everywhere() -> None:
    """Unless that is in view already."""
    assert next_scope(LONG, laid(Scope.WIDE, 200), 200, wide=True, lost=True, settled=False) is Scope.EVERYWHERE
    assert next_scope(LONG, laid(Scope.EVERYWHERE, 200), 200, wide=True, lost=True, settled=True) is None
