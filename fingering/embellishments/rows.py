"""The catalogue as rows. Order matters: where two rows read or spell alike, the first that suits its neighbours wins.

Each row's source says where its gracenote sequence can be checked. Names are the trade's; those of ceol mor movements
are from memory.
"""

from __future__ import annotations

import enum
from dataclasses import dataclass

from fingering.embellishments.family import Family
from fingering.embellishments.grammar import Approach


class Source(enum.Enum):
    """Where a row's gracenotes were published."""

    LILYPOND = "Debian lilypond-data, bagpipe.ly"
    PRACTICE = "common practice, no source"
    MEMORY = "from memory, unchecked"


@dataclass(frozen=True, slots=True)
class Row:
    """One kind of embellishment, over all the notes that it is played onto.

    name: what people read, ``{note}`` being the melody note. pattern: see `grammar`. onto: ABC letters. also: other
    names that people type for it, among them that of the usual form where this one takes its place.
    """

    family: Family
    name: str
    pattern: str
    onto: str
    approach: Approach = Approach.ANY
    also: tuple[str, ...] = ()
    source: Source = Source.LILYPOND


_PRACTICE, _MEMORY = Source.PRACTICE, Source.MEMORY


def _led(family: Family, strike: str, tail: str, onto: str, source: Source = Source.LILYPOND) -> tuple[Row, ...]:
    """A strike after a first touch of the note, led by a G gracenote, by the thumb in its place, or by neither."""
    full = f"G gracenote {strike} on {{note}}"
    return (
        Row(family, full, f"g={tail}", onto, source=source),
        Row(family, f"thumb {strike} on {{note}}", f"a={tail}", onto, also=(full,), source=source),
        Row(family, f"half {strike} on {{note}}", f"={tail}", onto, Approach.ANOTHER_NOTE, (full,), source),
    )


_STRIKES = (
    Row(Family.STRIKE, "strike on {note}", "-", "ABcdefg", also=("tap",)),
    Row(Family.STRIKE, "strike on {note}", "-", "a", Approach.SAME_NOTE, ("tap",), _PRACTICE),
    Row(Family.STRIKE, "light strike on {note}", "~", "d"),
)
_GRACENOTES = (
    Row(Family.SINGLE, "G gracenote", "g", "GABcdef"),
    Row(Family.SINGLE, "thumb gracenote", "a", "GABcdefg", also=("high A gracenote",)),
    Row(Family.SINGLE, "F gracenote", "f", "GABcdea"),
    Row(Family.SINGLE, "E gracenote", "e", "GABcdga"),
    Row(Family.SINGLE, "D gracenote", "d", "GABcefga"),
    Row(Family.SINGLE, "C gracenote", "c", "GABefga"),
    Row(Family.SINGLE, "B gracenote", "B", "GAcdefga"),
    Row(Family.SINGLE, "low A gracenote", "A", "GBcdfga"),
    Row(Family.SINGLE, "low G gracenote", "G", "efga"),
)
_DOUBLINGS = (
    Row(Family.DOUBLING, "{note} doubling", "g=+", "GABcdef"),
    Row(Family.THUMB_DOUBLING, "thumb {note} doubling", "a=+", "GABcdef", also=("{note} doubling",)),
    Row(Family.HALF_DOUBLING, "half {note} doubling", "=+", "GABcdef", Approach.ANOTHER_NOTE, ("{note} doubling",)),
    Row(Family.DOUBLING, "{note} doubling", "gf", "g", Approach.ANOTHER_NOTE, ("half {note} doubling",)),
    Row(Family.THUMB_DOUBLING, "thumb {note} doubling", "agf", "g", also=("{note} doubling",)),
    Row(Family.DOUBLING, "{note} doubling", "ag", "a", Approach.ANOTHER_NOTE, ("half {note} doubling",)),
)
_THROWS = (
    Row(Family.THROW, "half throw on {note}", "dc", "d", Approach.LOW_G, ("throw",)),
    Row(Family.THROW, "throw on {note}", "Gdc", "d", also=("{note} throw", "light throw on {note}")),
    Row(Family.THROW, "half heavy throw on {note}", "dGc", "d", Approach.LOW_G, ("heavy throw",), _PRACTICE),
    Row(Family.THROW, "heavy throw on {note}", "GdGc", "d", also=("heavy {note} throw",)),
)
_GRIPS = (
    Row(Family.GRIP, "grip from D", "GBG", "ABcdefga", Approach.D, ("leumluath",)),
    Row(Family.GRIP, "grip from low G", "dG", "ABcdefga", Approach.LOW_G, ("leumluath",), _PRACTICE),
    Row(Family.DOUBLE_STRIKE, "double strike on {note}", "GdG", "d", Approach.D, source=_PRACTICE),
    Row(Family.GRIP, "grip", "GdG", "ABcdefga", also=("leumluath",)),
    Row(Family.GRIP, "B grip", "GBG", "Acdefga"),
    Row(Family.GRIP, "E grip", "GeG", "ABcdfga"),
    Row(Family.GRIP, "half grip", "dG", "ABcefga", source=_PRACTICE),
)
_TAORLUATHS = (
    Row(Family.TAORLUATH, "taorluath from D", "GBGe", "GABcdfga", Approach.D),
    Row(Family.TAORLUATH, "taorluath from low G", "dGe", "GABcdfga", Approach.LOW_G),
    Row(Family.TAORLUATH, "taorluath", "GdGe", "GABcdfga"),
    Row(Family.TAORLUATH, "B taorluath", "GBGe", "GABcdfga"),
    Row(Family.TAORLUATH, "half taorluath", "dGe", "GABcdfga"),
    Row(Family.TAORLUATH, "taorluath with low A", "GdGAe", "A", also=("old taorluath",)),
    Row(Family.TAORLUATH, "taorluath without low G", "GdAe", "A", also=("Joseph MacDonald's taorluath",)),
    Row(Family.TAORLUATH, "taorluath a mach on {note}", "GdG=e", "Bc"),
    Row(Family.TAORLUATH, "taorluath a mach on {note}", "GdGcde", "d"),
)
_CRUNLUATHS = (
    Row(Family.CRUNLUATH, "crunluath from D", "GBGeAfA", "e", Approach.D),
    Row(Family.CRUNLUATH, "crunluath from low G", "dGeAfA", "e", Approach.LOW_G, source=_MEMORY),
    Row(Family.CRUNLUATH, "crunluath", "GdGeAfA", "e", also=("crunluath breabach",)),
    Row(Family.CRUNLUATH, "B crunluath", "GBGeAfA", "e"),
    Row(Family.CRUNLUATH, "half crunluath", "dGeAfA", "e", source=_MEMORY),
    Row(Family.CRUNLUATH, "crunluath a mach on B", "GdGBeBfB", "e", Approach.B, ("crunluath a mach",)),
    Row(Family.CRUNLUATH, "crunluath a mach on C", "GdGcecfc", "e", Approach.C, ("crunluath a mach",)),
    Row(Family.CRUNLUATH, "crunluath a mach on D", "GdGcdedfd", "e", Approach.D, ("crunluath a mach",)),
    Row(Family.CRUNLUATH, "crunluath fosgailte on B", "eBfB", "e", Approach.B, ("crunluath fosgailte",)),
    Row(Family.CRUNLUATH, "crunluath fosgailte on C", "ecfc", "e", Approach.C, ("crunluath fosgailte",)),
    Row(Family.CRUNLUATH, "crunluath fosgailte on D", "edfd", "e", Approach.D, ("crunluath fosgailte",)),
)
_BIRLS = (
    Row(Family.BIRL, "birl", "AGAG", "A", Approach.ANOTHER_NOTE),
    Row(Family.BIRL, "birl", "GAG", "A"),
    Row(Family.BIRL, "birl with G gracenote", "gAGAG", "A", also=("G gracenote birl",)),
    Row(Family.BIRL, "birl with thumb gracenote", "aAGAG", "A", also=("thumb birl",), source=_PRACTICE),
    Row(Family.BIRL, "birl with D gracenote", "dAGAG", "A", also=("D gracenote birl",)),
)
_LED_STRIKES = (
    *_led(Family.STRIKE, "strike", "-", "ABcdef"),
    *_led(Family.STRIKE, "light strike", "~", "d"),
)
_DOUBLE_STRIKES = (
    Row(Family.DOUBLE_STRIKE, "double strike on {note}", "-=-", "Bcefga", source=_PRACTICE),
    Row(Family.DOUBLE_STRIKE, "light double strike on {note}", "~=~", "d", source=_PRACTICE),
    *_led(Family.DOUBLE_STRIKE, "double strike", "-=-", "Bcdef", _PRACTICE),
    *_led(Family.DOUBLE_STRIKE, "light double strike", "~=~", "d", _PRACTICE),
)
_TRIPLE_STRIKES = (
    Row(Family.TRIPLE_STRIKE, "triple strike on {note}", "-=-=-", "ABcdefga", source=_PRACTICE),
    Row(Family.TRIPLE_STRIKE, "light triple strike on {note}", "~=~=~", "d", source=_PRACTICE),
    *_led(Family.TRIPLE_STRIKE, "triple strike", "-=-=-", "ABcdef", _PRACTICE),
    *_led(Family.TRIPLE_STRIKE, "light triple strike", "~=~=~", "d", _PRACTICE),
    Row(Family.TRIPLE_STRIKE, "half triple strike on {note}", "=-=-=-", "a", Approach.ANOTHER_NOTE),
)
_SHAKES = (
    Row(Family.SHAKE, "shake on {note}", "g=^=-", "ABcdef", also=("pele",)),
    Row(Family.SHAKE, "thumb shake on {note}", "a=^=-", "ABcdefg", also=("thumb pele", "pele", "shake")),
    Row(Family.SHAKE, "half shake on {note}", "=^=-", "ABcdefg", Approach.ANOTHER_NOTE, ("half pele", "pele", "shake")),
    Row(Family.SHAKE, "light shake on {note}", "g=^=~", "d"),
    Row(Family.SHAKE, "thumb light shake on {note}", "a=^=~", "d", also=("light shake",)),
    Row(Family.SHAKE, "half light shake on {note}", "=^=~", "d", Approach.ANOTHER_NOTE, ("light shake",)),
)
# A heavy catch on D has the letters of a double strike, and is named as one.
_CATCHES = (
    Row(Family.CATCH, "catch on {note}", "g=GdG", "ABce"),
    Row(Family.CATCH, "thumb catch on {note}", "a=GdG", "ABce", also=("catch",)),
    Row(Family.CATCH, "half catch on {note}", "=GdG", "ABce", Approach.ANOTHER_NOTE, ("catch",)),
    Row(Family.CATCH, "catch on {note}", "g=GBG", "d"),
    Row(Family.CATCH, "thumb catch on {note}", "a=GBG", "d", also=("catch",)),
    Row(Family.CATCH, "half catch on {note}", "=GBG", "d", Approach.ANOTHER_NOTE, ("catch",)),
)
_CEOL_MOR = (
    Row(Family.EDRE, "edre", "eAfA", "e", also=("dre", "throw on E")),
    Row(Family.EDRE, "embari", "eGfG", "e", also=("bari",)),
    Row(Family.EDRE, "dare", "fege", "f", also=("throw on F",)),
    Row(Family.EDRE, "chedari", "fegefe", "f", also=("dari",)),
    Row(Family.DARODO, "darodo from low G", "dGcG", "AB", Approach.LOW_G),
    Row(Family.DARODO, "darodo", "GdGcG", "AB"),
    Row(Family.DARODO, "half darodo", "dGcG", "AB"),
    Row(Family.CADENCE, "cadence", "ged", "GABc"),
    Row(Family.CADENCE, "cadence without G gracenote", "ed", "GABc"),
    Row(Family.CADENCE, "cadence without D gracenote", "ge", "GABcd"),
)
# From Joseph MacDonald's treatise of about 1760. The first sound is left out where low G is sounding already.
_CUTTINGS = (
    Row(Family.CUTTING, "fifteenth cutting from low G", "dAeAfAeAd", "A", Approach.LOW_G),
    Row(Family.CUTTING, "fifteenth cutting", "GdAeAfAeAd", "A"),
    Row(Family.CUTTING, "fifteenth cutting from low G", "dAeGfGeGd", "G", Approach.LOW_G),
    Row(Family.CUTTING, "fifteenth cutting", "GdAeGfGeGd", "G"),
    Row(Family.CUTTING, "seventeenth cutting from low G", "dAeAfAeAdAc", "A", Approach.LOW_G),
    Row(Family.CUTTING, "seventeenth cutting", "GdAeAfAeAdAc", "A"),
    Row(Family.CUTTING, "seventeenth cutting from low G", "dAeGfGeGdGc", "G", Approach.LOW_G),
    Row(Family.CUTTING, "seventeenth cutting", "GdAeGfGeGdGc", "G"),
    Row(Family.CUTTING, "barludh from low G", "dAeAfAeAdAcABAeAfA", "e", Approach.LOW_G),
    Row(Family.CUTTING, "barludh", "GdAeAfAeAdAcABAeAfA", "e"),
    Row(Family.CUTTING, "barludh on low G from low G", "dAeGfGeGdGcGBGeGfG", "e", Approach.LOW_G),
    Row(Family.CUTTING, "barludh on low G", "GdAeGfGeGdGcGBGeGfG", "e"),
)

ROWS = (
    *(_STRIKES + _GRACENOTES + _DOUBLINGS + _THROWS + _GRIPS + _TAORLUATHS + _CRUNLUATHS + _BIRLS + _LED_STRIKES),
    *(_DOUBLE_STRIKES + _TRIPLE_STRIKES + _SHAKES + _CATCHES + _CEOL_MOR + _CUTTINGS),
)
