"""Sentences about what of a recording was not judged, each with what covered it and what to do about that. Pure."""

from __future__ import annotations

from companion.hearing.heard import Covering, HeardSound, SoundTrouble

CROWDED = "Note by note: " + SoundTrouble.CROWDED.value + "."

_REMEDIES = {
    Covering.ECHO: "record within half a metre of the microphone",
    Covering.DRONES: "record without drones",
    Covering.NOISE: "record where it is quiet",
    Covering.CLIPPING: "turn the recording's level down",
}


def melody_alone(heard: HeardSound) -> str:
    """The sentence about short sounds where only the melody is judged."""
    return f"Gracenotes, crossings and stops: {_what_covers(heard)}."


def not_in_time(heard: HeardSound) -> str:
    """The sentence about times where hardly a note is sure."""
    return f"When each note began: {covered_by(heard.coverings)} too much of it."


def too_quick(count: int) -> str:
    """The sentence about so many places whose gracenotes were hardly heard for being quick."""
    return f"Gracenotes at {_places(count)}, too quick to be sure that each was heard."


def partly_covered(count: int, heard: HeardSound) -> str:
    """The sentence about so many places with short sounds that were not judged."""
    return f"Short sounds at {_places(count)}, which {covered_by(heard.coverings)}; {_remedy(heard.coverings)}."


def _what_covers(heard: HeardSound) -> str:
    """What covers short sounds, and what to do, in words that begin small: the trouble that a sound is in, where that
    says it, else an echo, drones or noise, whichever there are."""
    coverings = heard.coverings
    hiding = [each for each in heard.troubles if each in (SoundTrouble.WAVERING, SoundTrouble.FEW_NOTES)]
    if hiding:
        words: str = hiding[0].value
        return words
    return f"{covered_by(coverings)} them; {_remedy(coverings)}"


def covered_by(coverings: tuple[Covering, ...]) -> str:
    """What covers, with its verb, in words that begin small: where nothing is known to, it is other sound."""
    coverings = coverings or (Covering.NOISE,)
    words = " and ".join(each.value for each in coverings)
    plural = len(coverings) > 1 or coverings == (Covering.DRONES,)
    return f"{words} cover" if plural else f"{words} covers"


def _remedy(coverings: tuple[Covering, ...]) -> str:
    return " and ".join(_REMEDIES[each] for each in coverings or (Covering.NOISE,))


def _places(count: int) -> str:
    return "1 place" if count == 1 else f"{count} places"
