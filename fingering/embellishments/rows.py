"""The table of embellishments. A new one is added here as a row; order matters, since the first row that fits wins.

Each row's source says where its gracenotes can be checked. Names are the trade's; those of ceol mor movements are from
memory.
"""

from __future__ import annotations

import enum
from dataclasses import dataclass

from fingering.embellishments.family import Family
from fingering.embellishments.grammar import Approach


class SpellingSource(enum.Enum):
    """Where a row's gracenotes were published."""

    LILYPOND = "Debian lilypond-data, bagpipe.ly"
    PRACTICE = "common practice, no source"
    MEMORY = "from memory, unchecked"


@dataclass(frozen=True, slots=True)
class Spellings:
    """One row: a kind of embellishment on all the notes that it is played onto.

    name: what people read, ``{note}`` being the melody note. pattern: see `grammar`. onto: ABC letters. also: other
    names that people type for it, among them that of the usual form where this one takes its place.
    """

    family: Family
    name: str
    pattern: str
    onto: str
    approach: Approach = Approach.ANY
    also: tuple[str, ...] = ()
    source: SpellingSource = SpellingSource.LILYPOND


_PRACTICE, _MEMORY = SpellingSource.PRACTICE, SpellingSource.MEMORY


def _led(
    family: Family, strike: str, tail: str, onto: str, source: SpellingSource = SpellingSource.LILYPOND
) -> tuple[Spellings, ...]:
    """The rows of a strike with a touch of the note before it, led by a G gracenote, by the thumb, or by neither."""
    full = f"G gracenote {strike} on {{note}}"
    return (
        Spellings(family, full, f"g={tail}", onto, source=source),
        Spellings(family, f"thumb {strike} on {{note}}", f"a={tail}", onto, also=(full,), source=source),
        Spellings(family, f"half {strike} on {{note}}", f"={tail}", onto, Approach.ANOTHER_NOTE, (full,), source),
    )


_STRIKES = (
    Spellings(Family.STRIKE, "strike on {note}", "-", "ABcdefg", also=("tap",)),
    Spellings(Family.STRIKE, "strike on {note}", "-", "a", Approach.SAME_NOTE, ("tap",), _PRACTICE),
    Spellings(Family.STRIKE, "light strike on {note}", "~", "d"),
)
_GRACENOTES = (
    Spellings(Family.SINGLE, "G gracenote", "g", "GABcdef"),
    Spellings(Family.SINGLE, "thumb gracenote", "a", "GABcdefg", also=("high A gracenote",)),
    Spellings(Family.SINGLE, "F gracenote", "f", "GABcdea"),
    Spellings(Family.SINGLE, "E gracenote", "e", "GABcdga"),
    Spellings(Family.SINGLE, "D gracenote", "d", "GABcefga"),
    Spellings(Family.SINGLE, "C gracenote", "c", "GABefga"),
    Spellings(Family.SINGLE, "B gracenote", "B", "GAcdefga"),
    Spellings(Family.SINGLE, "low A gracenote", "A", "GBcdfga"),
    Spellings(Family.SINGLE, "low G gracenote", "G", "efga"),
)
_DOUBLINGS = (
    Spellings(Family.DOUBLING, "{note} doubling", "g=+", "GABcdef"),
    Spellings(Family.THUMB_DOUBLING, "thumb {note} doubling", "a=+", "GABcdef", also=("{note} doubling",)),
    Spellings(
        Family.HALF_DOUBLING, "half {note} doubling", "=+", "GABcdef", Approach.ANOTHER_NOTE, ("{note} doubling",)
    ),
    Spellings(Family.DOUBLING, "{note} doubling", "gf", "g", Approach.ANOTHER_NOTE, ("half {note} doubling",)),
    Spellings(Family.THUMB_DOUBLING, "thumb {note} doubling", "agf", "g", also=("{note} doubling",)),
    Spellings(Family.DOUBLING, "{note} doubling", "ag", "a", Approach.ANOTHER_NOTE, ("half {note} doubling",)),
)
_THROWS = (
    Spellings(Family.THROW, "half throw on {note}", "dc", "d", Approach.LOW_G, ("throw",)),
    Spellings(Family.THROW, "throw on {note}", "Gdc", "d", also=("{note} throw", "light throw on {note}")),
    Spellings(Family.THROW, "half heavy throw on {note}", "dGc", "d", Approach.LOW_G, ("heavy throw",), _PRACTICE),
    Spellings(Family.THROW, "heavy throw on {note}", "GdGc", "d", also=("heavy {note} throw",)),
)
_GRIPS = (
    Spellings(Family.GRIP, "grip from D", "GBG", "ABcdefga", Approach.D, ("leumluath",)),
    Spellings(Family.GRIP, "grip from low G", "dG", "ABcdefga", Approach.LOW_G, ("leumluath",), _PRACTICE),
    Spellings(Family.DOUBLE_STRIKE, "double strike on {note}", "GdG", "d", Approach.D, source=_PRACTICE),
    Spellings(Family.GRIP, "grip", "GdG", "ABcdefga", also=("leumluath",)),
    Spellings(Family.GRIP, "B grip", "GBG", "Acdefga"),
    Spellings(Family.GRIP, "E grip", "GeG", "ABcdfga"),
    Spellings(Family.GRIP, "half grip", "dG", "ABcefga", source=_PRACTICE),
)
_TAORLUATHS = (
    Spellings(Family.TAORLUATH, "taorluath from D", "GBGe", "GABcdfga", Approach.D),
    Spellings(Family.TAORLUATH, "taorluath from low G", "dGe", "GABcdfga", Approach.LOW_G),
    Spellings(Family.TAORLUATH, "taorluath", "GdGe", "GABcdfga"),
    Spellings(Family.TAORLUATH, "B taorluath", "GBGe", "GABcdfga"),
    Spellings(Family.TAORLUATH, "half taorluath", "dGe", "GABcdfga"),
    Spellings(Family.TAORLUATH, "taorluath with low A", "GdGAe", "A", also=("old taorluath",)),
    Spellings(Family.TAORLUATH, "taorluath without low G", "GdAe", "A", also=("Joseph MacDonald's taorluath",)),
    Spellings(Family.TAORLUATH, "taorluath a mach on {note}", "GdG=e", "Bc"),
    Spellings(Family.TAORLUATH, "taorluath a mach on {note}", "GdGcde", "d"),
)
_CRUNLUATHS = (
    Spellings(Family.CRUNLUATH, "crunluath from D", "GBGeAfA", "e", Approach.D),
    Spellings(Family.CRUNLUATH, "crunluath from low G", "dGeAfA", "e", Approach.LOW_G, source=_MEMORY),
    Spellings(Family.CRUNLUATH, "crunluath", "GdGeAfA", "e", also=("crunluath breabach",)),
    Spellings(Family.CRUNLUATH, "B crunluath", "GBGeAfA", "e"),
    Spellings(Family.CRUNLUATH, "half crunluath", "dGeAfA", "e", source=_MEMORY),
    Spellings(Family.CRUNLUATH, "crunluath a mach on B", "GdGBeBfB", "e", Approach.B, ("crunluath a mach",)),
    Spellings(Family.CRUNLUATH, "crunluath a mach on C", "GdGcecfc", "e", Approach.C, ("crunluath a mach",)),
    Spellings(Family.CRUNLUATH, "crunluath a mach on D", "GdGcdedfd", "e", Approach.D, ("crunluath a mach",)),
    Spellings(Family.CRUNLUATH, "crunluath fosgailte on B", "eBfB", "e", Approach.B, ("crunluath fosgailte",)),
    Spellings(Family.CRUNLUATH, "crunluath fosgailte on C", "ecfc", "e", Approach.C, ("crunluath fosgailte",)),
    Spellings(Family.CRUNLUATH, "crunluath fosgailte on D", "edfd", "e", Approach.D, ("crunluath fosgailte",)),
)
_BIRLS = (
    Spellings(Family.BIRL, "birl", "AGAG", "A", Approach.ANOTHER_NOTE),
    Spellings(Family.BIRL, "birl", "GAG", "A"),
    Spellings(Family.BIRL, "birl with G gracenote", "gAGAG", "A", also=("G gracenote birl",)),
    Spellings(Family.BIRL, "birl with thumb gracenote", "aAGAG", "A", also=("thumb birl",), source=_PRACTICE),
    Spellings(Family.BIRL, "birl with D gracenote", "dAGAG", "A", also=("D gracenote birl",)),
)
_LED_STRIKES = (
    *_led(Family.STRIKE, "strike", "-", "ABcdef"),
    *_led(Family.STRIKE, "light strike", "~", "d"),
)
_DOUBLE_STRIKES = (
    Spellings(Family.DOUBLE_STRIKE, "double strike on {note}", "-=-", "Bcefga", source=_PRACTICE),
    Spellings(Family.DOUBLE_STRIKE, "light double strike on {note}", "~=~", "d", source=_PRACTICE),
    *_led(Family.DOUBLE_STRIKE, "double strike", "-=-", "Bcdef", _PRACTICE),
    *_led(Family.DOUBLE_STRIKE, "light double strike", "~=~", "d", _PRACTICE),
)
_TRIPLE_STRIKES = (
    Spellings(Family.TRIPLE_STRIKE, "triple strike on {note}", "-=-=-", "ABcdefga", source=_PRACTICE),
    Spellings(Family.TRIPLE_STRIKE, "light triple strike on {note}", "~=~=~", "d", source=_PRACTICE),
    *_led(Family.TRIPLE_STRIKE, "triple strike", "-=-=-", "ABcdef", _PRACTICE),
    *_led(Family.TRIPLE_STRIKE, "light triple strike", "~=~=~", "d", _PRACTICE),
    Spellings(Family.TRIPLE_STRIKE, "half triple strike on {note}", "=-=-=-", "a", Approach.ANOTHER_NOTE),
)
_SHAKES = (
    Spellings(Family.SHAKE, "shake on {note}", "g=^=-", "ABcdef", also=("pele",)),
    Spellings(Family.SHAKE, "thumb shake on {note}", "a=^=-", "ABcdefg", also=("thumb pele", "pele", "shake")),
    Spellings(
        Family.SHAKE, "half shake on {note}", "=^=-", "ABcdefg", Approach.ANOTHER_NOTE, ("half pele", "pele", "shake")
    ),
    Spellings(Family.SHAKE, "light shake on {note}", "g=^=~", "d"),
    Spellings(Family.SHAKE, "thumb light shake on {note}", "a=^=~", "d", also=("light shake",)),
    Spellings(Family.SHAKE, "half light shake on {note}", "=^=~", "d", Approach.ANOTHER_NOTE, ("light shake",)),
)
# A heavy catch on D has the letters of a double strike, and is named as one.
_CATCHES = (
    Spellings(Family.CATCH, "catch on {note}", "g=GdG", "ABce"),
    Spellings(Family.CATCH, "thumb catch on {note}", "a=GdG", "ABce", also=("catch",)),
    Spellings(Family.CATCH, "half catch on {note}", "=GdG", "ABce", Approach.ANOTHER_NOTE, ("catch",)),
    Spellings(Family.CATCH, "catch on {note}", "g=GBG", "d"),
    Spellings(Family.CATCH, "thumb catch on {note}", "a=GBG", "d", also=("catch",)),
    Spellings(Family.CATCH, "half catch on {note}", "=GBG", "d", Approach.ANOTHER_NOTE, ("catch",)),
)
_CEOL_MOR = (
    Spellings(Family.EDRE, "edre", "eAfA", "e", also=("dre", "throw on E")),
    Spellings(Family.EDRE, "embari", "eGfG", "e", also=("bari",)),
    Spellings(Family.EDRE, "dare", "fege", "f", also=("throw on F",)),
    Spellings(Family.EDRE, "chedari", "fegefe", "f", also=("dari",)),
    Spellings(Family.DARODO, "darodo from low G", "dGcG", "AB", Approach.LOW_G),
    Spellings(Family.DARODO, "darodo", "GdGcG", "AB"),
    Spellings(Family.DARODO, "half darodo", "dGcG", "AB"),
    Spellings(Family.CADENCE, "cadence", "ged", "GABc"),
    Spellings(Family.CADENCE, "cadence without G gracenote", "ed", "GABc"),
    Spellings(Family.CADENCE, "cadence without D gracenote", "ge", "GABcd"),
)
# From Joseph MacDonald's treatise of about 1760. The first sound is left out where low G is sounding already.
_CUTTINGS = (
    Spellings(Family.CUTTING, "fifteenth cutting from low G", "dAeAfAeAd", "A", Approach.LOW_G),
    Spellings(Family.CUTTING, "fifteenth cutting", "GdAeAfAeAd", "A"),
    Spellings(Family.CUTTING, "fifteenth cutting from low G", "dAeGfGeGd", "G", Approach.LOW_G),
    Spellings(Family.CUTTING, "fifteenth cutting", "GdAeGfGeGd", "G"),
    Spellings(Family.CUTTING, "seventeenth cutting from low G", "dAeAfAeAdAc", "A", Approach.LOW_G),
    Spellings(Family.CUTTING, "seventeenth cutting", "GdAeAfAeAdAc", "A"),
    Spellings(Family.CUTTING, "seventeenth cutting from low G", "dAeGfGeGdGc", "G", Approach.LOW_G),
    Spellings(Family.CUTTING, "seventeenth cutting", "GdAeGfGeGdGc", "G"),
    Spellings(Family.CUTTING, "barludh from low G", "dAeAfAeAdAcABAeAfA", "e", Approach.LOW_G),
    Spellings(Family.CUTTING, "barludh", "GdAeAfAeAdAcABAeAfA", "e"),
    Spellings(Family.CUTTING, "barludh on low G from low G", "dAeGfGeGdGcGBGeGfG", "e", Approach.LOW_G),
    Spellings(Family.CUTTING, "barludh on low G", "GdAeGfGeGdGcGBGeGfG", "e"),
)

ROWS = (
    *(_STRIKES + _GRACENOTES + _DOUBLINGS + _THROWS + _GRIPS + _TAORLUATHS + _CRUNLUATHS + _BIRLS + _LED_STRIKES),
    *(_DOUBLE_STRIKES + _TRIPLE_STRIKES + _SHAKES + _CATCHES + _CEOL_MOR + _CUTTINGS),
)
