"""Accounts of practice to be shown: of nobody, and of a learner who got better from day to day."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date, timedelta
from functools import partial

from companion.lesson.model.known import Skill, SkillKind
from companion.lesson.progress.account import Account, SkillPoint, SkillSeries, TempoPoint, TuneSeries
from companion.window.core.screen import Screen
from companion.window.progress.progress_screen import ProgressScreen

TODAY = date(2026, 1, 31)
EMBELLISHMENTS = ("g>A", "gcd>c", "GdG>e", "GdGe>A", "gef>e", "Gdc>d", "gBG>B", "ag>a", "gfg>f", "gAGAG>A")
LONG = "The Long and Winding Lament for the Departure of the Last of the Herring Boats"
CHANGES = ("d>e", "e>c", "a>e", "g>d", "B>g")


def series(kind: SkillKind, key: str, rank: int) -> SkillSeries:
    """A skill over a month, better from day to day, one day more slowly than the one before it."""
    points = tuple(
        SkillPoint(TODAY - timedelta(days=30 - day), 20, min(20, 4 + rank % 5 + day * 2 // (1 + rank % 3)), day % 3)
        for day in range(3 + rank, 30, 2)
    )
    return SkillSeries(Skill(kind, key), points, TODAY, 20, 12 + rank % 8, sure=rank % 2 == 0, due=rank == 3)


def account(name: str = "") -> Account:
    """A month of practice."""
    tempos = tuple(TempoPoint(TODAY - timedelta(days=20 - day), 40.0 + day) for day in range(20))
    tunes = tuple(TuneSeries(title, title, 12, TODAY, tempos) for title in ("Nets on the Slip", LONG))
    none = TuneSeries("A New One", "x", 1, TODAY, ())
    return Account(
        name,
        TODAY,
        240,
        28,
        tuple(series(SkillKind.EMBELLISHMENT, key, rank) for rank, key in enumerate(EMBELLISHMENTS)),
        tuple(series(SkillKind.CHANGE, key, rank) for rank, key in enumerate(CHANGES)),
        (*tunes, none),
    )


def progress_screens() -> Mapping[str, Callable[[], Screen]]:
    """Screens by name."""
    return {
        "progress of nobody": partial(ProgressScreen, Account("", TODAY)),
        "progress": partial(ProgressScreen, account()),
        "progress of a long name": partial(ProgressScreen, account("W" * 80), "what is known of you cannot be kept"),
    }
