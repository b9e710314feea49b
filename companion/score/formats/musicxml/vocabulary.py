"""The elements and attributes of MusicXML that are read: all others are left out before the music is turned into MEI.

Source: MusicXML 4.0 (W3C Community Group, 2021).
"""

from __future__ import annotations

STRUCTURE = frozenset({"score-partwise", "score-timewise", "part-list", "score-part", "part-name", "part", "measure"})

_ATTRIBUTES = (
    "attributes divisions key fifths mode key-step key-alter time beats beat-type senza-misura staves clef sign line "
    "clef-octave-change transpose diatonic chromatic octave-change measure-style multiple-rest"
)
_BESIDE_NOTES = (
    "direction direction-type rehearsal words metronome beat-unit beat-unit-dot per-minute sound "
    "harmony root root-step root-alter kind bass bass-step bass-alter barline bar-style ending repeat backup forward"
)
_NOTES = (
    "note grace chord pitch step alter octave rest duration tie voice type dot accidental time-modification "
    "actual-notes normal-notes notations tied tuplet ornaments trill-mark turn mordent inverted-mordent articulations "
    "accent staccato tenuto strong-accent spiccato breath-mark caesura technical up-bow down-bow fermata staff"
)
READ = STRUCTURE | frozenset(f"{_ATTRIBUTES} {_BESIDE_NOTES} {_NOTES}".split())

READ_ATTRIBUTES = frozenset(
    (
        *("number", "implicit", "type", "direction", "times", "placement", "slash", "measure", "symbol", "text"),
        *("location", "print-object", "tempo", "dacapo", "fine", "bracket", "show-number"),
    )
)

TYPES = ("breve", "whole", "half", "quarter", "eighth", "16th", "32nd", "64th", "128th", "256th", "512th")
"""Note values, each half of the one before."""
