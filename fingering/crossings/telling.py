"""Tells a crossing noise in a piper's words."""

from __future__ import annotations

from fingering.crossings.noise import WHOLE_UPPER_HAND, LikelyNoise, NoiseKind
from fingering.crossings.teaching import LOWER_HAND, finger_name, finger_names
from fingering.crossings.transition import Transition

CROSSING_NOISE = "crossing noise: a note that flashes between two others when fingers do not move together"
"""The trade's word, explained."""

_PLACES = {NoiseKind.LOWER: "below both", NoiseKind.BETWEEN: "in between"}


def noise_phrases(transition: Transition, noise: LikelyNoise | None) -> tuple[str, ...]:
    """What is heard between the two notes of a transition, in several wordings from the fullest to the shortest.

    noise: the likeliest one, None where none can sound.
    """
    if noise is None:
        alone = len(transition.movers) == 1
        return ("one finger, always clean" if alone else "clean in any order", "clean")
    lasts = f"for {noise.lasts_ms:.0f} ms"
    if noise.kind is NoiseKind.VEIL:
        return (f"a veil, no clear note, {lasts}", f"a veil {lasts}", "a veil")
    name = noise.note.label
    where = f"{name} flashes {_PLACES[noise.kind]}"
    return (f"{where}, {lasts}", where, f"{name} flashes", name)


def cause(transition: Transition, noise: LikelyNoise) -> str:
    """Who usually makes a crossing noise: "the upper ring finger comes late"."""
    fingers = tuple(slip.finger for slip in noise.slips)
    when = "late" if noise.slips[0].ms > 0.0 else "early"
    for hand, name in ((WHOLE_UPPER_HAND, "the upper hand"), (LOWER_HAND, "the lower hand")):
        if len(fingers) > 1 and set(fingers) == set(hand) & set(transition.movers):
            return f"{name} comes {when}"
    who, comes = (finger_name(fingers[0]), "comes") if len(fingers) == 1 else (finger_names(fingers), "come")
    return f"the {who} {comes} {when}"
