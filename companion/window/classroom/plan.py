"""What a class is led through: a list at the side of the picture; for now the phrases of the tune."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from companion.schedule.spans import whereabouts
from companion.score.model import Part, Phrase, Tune
from companion.window.core.actions import Seek
from companion.window.play.play_screen import PlayScreen


@dataclass(frozen=True, slots=True)
class PlanItem:
    """One thing of the list: its words, whether it was done, and whether it is in hand."""

    words: str
    done: bool = False
    current: bool = False


class Plan(Protocol):
    """A list through which a teacher leads a class that plays on a stage: the phrases of a tune, steps of a lesson."""

    def items(self, stage: PlayScreen) -> tuple[PlanItem, ...]:
        """All of it, as it stands now."""

    def go_to(self, stage: PlayScreen, rank: int) -> None:
        """Take the item of that rank in hand, the first being 0; it is one of `items`."""


class PhrasePlan:
    """The phrases of the tune that is played, in the order in which they are written."""

    def __init__(self, tune: Tune) -> None:
        self._phrases = tuple((part, phrase) for part in tune.parts for phrase in part.phrases)
        self._done: frozenset[int] = frozenset()

    def items(self, stage: PlayScreen) -> tuple[PlanItem, ...]:
        """Each phrase by its part and its number in it; those are done that were led on from."""
        here = self._here(stage)
        return tuple(
            PlanItem(_words(part, phrase), rank in self._done, rank == here)
            for rank, (part, phrase) in enumerate(self._phrases)
        )

    def go_to(self, stage: PlayScreen, rank: int) -> None:
        """Go to the start of a phrase; where it is repeated, with what leads into it."""
        here = self._here(stage)
        if here is not None and rank > here:
            self._done |= {here}
        stage.act(Seek(self._starts_s(stage, rank)))
        span = stage.state.span
        if span and span.start_s < stage.state.position_s:
            stage.act(Seek(span.start_s))

    def _starts_s(self, stage: PlayScreen, rank: int) -> float:
        schedule, order = stage.state.schedule, stage.state.tune.order
        phrase = self._phrases[rank][1]
        onsets = (
            onset_s
            for onset_s, played in zip(schedule.note_onsets_s, schedule.played, strict=True)
            if phrase.first <= order[played.turn] < phrase.stop
        )
        return min(onsets, default=stage.position_s())

    def _here(self, stage: PlayScreen) -> int | None:
        state = stage.state
        here = whereabouts(state.tune, state.schedule, stage.position_s())
        return next((rank for rank, (_, phrase) in enumerate(self._phrases) if phrase is here.phrase), None)


def _words(part: Part, phrase: Phrase) -> str:
    if len(part.phrases) == 1:
        return f"part {part.label}"
    return f"part {part.label}, phrase {part.phrases.index(phrase) + 1}"
