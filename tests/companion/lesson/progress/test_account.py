"""What has become of practice: series, the worst crossings, tempos, and one thing to do."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from companion.lesson.progress.account import Account, SkillPoint, SkillSeries, TempoPoint, TuneSeries, skill_words
from companion.lesson.progress.account_text import account_text
from companion.lesson.progress.book import ProgressBook
from tests.companion.lesson.progress.playing import CROSSING, TAORLUATH, heard, on_day, take

TODAY = on_day(0).date()


def series(asked: int, clean: int, *, due: bool = False, last: date = TODAY) -> SkillSeries:
    """A change of note that went so of late."""
    return SkillSeries(CROSSING, (SkillPoint(last, asked, clean, 0),), last, asked, clean, due=due)


def test_skills_have_the_names_that_pipers_use() -> None:
    """As the catalogue has them."""
    assert skill_words(TAORLUATH) == "taorluath on low A"
    assert skill_words(CROSSING) == "D to E"


def test_the_account_is_of_all_that_was_played(tmp_path: Path) -> None:
    """Takes, days, each skill day by day, each tune's tempo on each day."""
    book = ProgressBook(tmp_path / "a")
    for day, clean, tempo in ((0, 2, 50.0), (0, 3, 54.0), (1, 8, 60.0)):
        began = on_day(day, clean / 100)
        book.take_in("", take(began, heard(TAORLUATH, clean, 8, uneven=8 - clean), tempo=tempo), on_day(1))
    account = book.account("", on_day(1))
    book.close()
    assert (account.takes, account.days) == (3, 2)
    (taorluath,) = account.embellishments
    assert taorluath.points == (SkillPoint(date(2026, 3, 2), 16, 5, 11), SkillPoint(date(2026, 3, 3), 8, 8, 0))
    assert taorluath.last == date(2026, 3, 3)
    assert (taorluath.asked_lately, taorluath.clean_lately) == (24, 13)
    (tune,) = account.tunes
    assert tune.points == (TempoPoint(date(2026, 3, 2), 54.0), TempoPoint(date(2026, 3, 3), 60.0))
    assert (tune.takes, tune.reached) == (3, 60.0)


def test_a_tempo_with_many_wrong_notes_is_not_reached(tmp_path: Path) -> None:
    """Nine in ten must be right."""
    book = ProgressBook(tmp_path / "a")
    book.take_in("", take(on_day(0), tempo=90.0, right=89), on_day(0))
    assert book.account("", on_day(0)).tunes[0].reached is None
    book.take_in("", take(on_day(0, 0.1), tempo=70.0, right=90), on_day(0))
    assert book.account("", on_day(0)).tunes[0].reached == 70.0
    book.close()


def test_what_is_long_ago_is_told_by_months(tmp_path: Path) -> None:
    """This month and the two before it by days."""
    book = ProgressBook(tmp_path / "a")
    for day in (0, 5, 40, 90, 91):
        book.take_in("", take(on_day(day), heard(TAORLUATH, 4, 8)), on_day(91))
    points = book.account("", on_day(91)).embellishments[0].points
    book.close()
    firsts = [each.first for each in points]
    assert firsts == [date(2026, 3, 1), date(2026, 4, 11), date(2026, 5, 31), date(2026, 6, 1)]
    assert points[0].asked == 16


def test_the_worst_crossings_come_first() -> None:
    """By the share that was clean; what was hardly asked for, or is clean, is none."""
    good, bad, worse = series(10, 10), series(10, 6), series(10, 3)
    account = Account("", TODAY, 9, 3, changes=(good, bad, worse, series(4, 0)))
    assert account.worst == (worse, bad)


def test_there_is_one_thing_to_do_today() -> None:
    """First what is due, then the worst crossing, then whatever one likes."""
    assert Account("", TODAY).today == "Play a tune along: what is heard of it stands here from then on."
    due = series(10, 6, due=True, last=date(2026, 2, 20))
    told = Account("", TODAY, 9, 3, changes=(due, series(8, 8, due=True))).today
    assert told == "Play D to E again: you last did 10 days ago, and 1 more is due."
    told = Account("", TODAY, 9, 3, changes=(series(10, 6),)).today
    assert told == "Go slowly from D to E: 4 of the last 10 times were not clean."
    assert Account("", TODAY, 9, 3, changes=(series(10, 10),)).today == "Nothing is due today: play what you like best."


def test_the_text_is_calm_tables() -> None:
    """Small bars from the lowest to the highest; the sentence for today is the last line."""
    days = [date(2026, 2, 27), date(2026, 3, 1), TODAY]
    points = tuple(SkillPoint(day, 8, clean, 8 - clean) for day, clean in zip(days, (0, 4, 8), strict=True))
    tempos = tuple(TempoPoint(day, tempo) for day, tempo in zip(days, (50.0, 60.0, 55.0), strict=True))
    account = Account(
        "Ann",
        TODAY,
        12,
        3,
        (SkillSeries(TAORLUATH, points, TODAY, 20, 14),),
        (series(10, 6),),
        (TuneSeries("A Tune\x1b[2J", "0" * 64, 12, TODAY, tempos),),
    )
    assert account_text(account).splitlines() == [
        "Ann, 2026-03-02: 12 takes on 3 days",
        "",
        "Embellishments      clean  even  over days",
        "taorluath on low A   70 %  50 %  ▁▅█",
        "",
        "Crossings to mend  clean  over days",
        "D to E              60 %  ▅",
        "",
        "Tempo reached  now  best  over days",
        "A Tune<1B>[2J   55    60  ▁█▅",
        "",
        "Today: Go slowly from D to E: 4 of the last 10 times were not clean.",
    ]
