"""An account as JSON."""

from __future__ import annotations

from typing import Any

from companion.lesson.progress.account import Account, SkillSeries, TuneSeries


def account_to_data(account: Account) -> dict[str, Any]:
    """An account as JSON: tempos in beats a minute, shares from 0 to 1, days in ISO 8601."""
    return {
        "learner": account.learner,
        "day": account.day.isoformat(),
        "takes": account.takes,
        "days": account.days,
        "today": account.today,
        "embellishments": [_series(each) for each in account.embellishments],
        "changes": [_series(each) for each in account.changes],
        "worst": [each.name for each in account.worst],
        "due": [each.name for each in account.due],
        "tunes": [_tune(each) for each in account.tunes],
    }


def _series(series: SkillSeries) -> dict[str, Any]:
    return {
        "name": series.name,
        "key": series.skill.key,
        "sure": series.sure,
        "due": series.due,
        "last": series.last.isoformat(),
        "lately": round(series.lately, 3),
        "points": [
            {"from": each.first.isoformat(), "asked": each.asked, "clean": each.clean, "uneven": each.uneven}
            for each in series.points
        ],
    }


def _tune(series: TuneSeries) -> dict[str, Any]:
    return {
        "title": series.title,
        "content": series.content,
        "takes": series.takes,
        "last": series.last.isoformat(),
        "reached": None if series.reached is None else round(series.reached, 1),
        "points": [{"day": each.day.isoformat(), "tempo": round(each.tempo, 1)} for each in series.points],
    }
