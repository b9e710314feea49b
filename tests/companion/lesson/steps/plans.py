"""A simple plan of a tune, from the phrases that its reader found."""

from __future__ import annotations

from companion.lesson.model.phrases import FoundPhrase, Likeness, PhraseEnd, TunePlan
from companion.score.model import Tune


def plan_by_letters(tune: Tune) -> TunePlan:
    """The phrases of the reader, by its letters; those that come again are the same."""
    phrases: list[FoundPhrase] = []
    parts: list[range] = []
    for part in tune.parts:
        begin = len(phrases)
        for phrase in part.phrases:
            name = phrase.letter.upper()
            again = any(each.name == name for each in phrases)
            like, likeness = (name, Likeness.SAME) if again else ("", None)
            phrases.append(FoundPhrase(name, phrase.first, phrase.stop, PhraseEnd.HOME, like, likeness))
        parts.append(range(begin, len(phrases)))
    return TunePlan(tuple(phrases), tuple(parts))
