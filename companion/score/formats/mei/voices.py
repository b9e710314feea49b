"""Lists the voices of a score: each staff, and each layer on it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from companion.score.formats.xml.tree import Element

MOST_VOICES = 12
"""Voices that are tried, until one is found that the chanter can play."""


@dataclass(frozen=True, slots=True)
class ScoreVoice:
    """A staff by its number, and a layer on it, counted from 0.

    passes: how often the repeat that ends in a measure is played, by the measure's id; rests: how many measures of rest
    begin with one.
    """

    staff: str
    layer: int = 0
    passes: Mapping[str, int] = field(default_factory=dict)
    rests: Mapping[str, int] = field(default_factory=dict)

    def layer_in(self, measure: Element) -> Element | None:
        """Its layer in a measure; where it has none there, the staff's first; None where the staff is missing."""
        for staff in measure.children:
            if staff.tag == "staff" and (staff.get("n") or "1") == self.staff:
                layers = [child for child in staff.children if child.tag == "layer"]
                return layers[self.layer] if self.layer < len(layers) else layers[0] if layers else None
        return None


def voices_of(score: Element, passes: Mapping[str, int], rests: Mapping[str, int]) -> tuple[ScoreVoice, ...]:
    """The voices of a score, by staff and layer; at least one, at most MOST_VOICES."""
    layers: dict[str, int] = {}
    for measure in score.inside("measure"):
        for staff in measure.children:
            if staff.tag == "staff":
                number = staff.get("n") or "1"
                count = sum(child.tag == "layer" for child in staff.children)
                layers[number] = max(layers.get(number, 0), count)
    found = [ScoreVoice(number, layer, passes, rests) for number, count in layers.items() for layer in range(count)]
    return tuple(found[:MOST_VOICES]) or (ScoreVoice("1", 0, passes, rests),)
