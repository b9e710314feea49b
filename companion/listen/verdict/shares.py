"""Cleanness as shares with their counts, by the names that people read."""

from __future__ import annotations

from companion.listen.verdict.verdict import Share, Verdict


def named_shares(verdict: Verdict) -> tuple[tuple[str, Share], ...]:
    """The shares of a verdict, each with its name; a tune may ask for none of a sort, and then `of` is 0."""
    return (
        ("Melody notes", verdict.notes),
        ("Gracenotes", verdict.gracenotes),
        ("Clean movements", verdict.movements),
    )
