"""What stands at bar lines in MEI: repeats, double bars, endings, and words that send the player elsewhere."""

from __future__ import annotations

import re
from dataclasses import replace
from types import MappingProxyType

from companion.score.form.bar_builder import BarLine
from companion.score.form.passes import MAX_PASSES

PLAIN = BarLine(0, 0, double=False, ends_ending=False, line=True, ending="")
BRACKET = replace(PLAIN, ends_ending=True, line=False)
DOUBLE = replace(PLAIN, double=True)
_CLOSES = replace(PLAIN, closes=2)
_OPENS = replace(PLAIN, opens=2)
# data.BARRENDITION
_LINES = MappingProxyType(
    {
        "rptstart": _OPENS,
        "rptend": _CLOSES,
        "rptboth": replace(PLAIN, closes=2, opens=2, double=True),
        **dict.fromkeys(("dbl", "end", "dbldashed", "dbldotted", "dblheavy", "dblsegno", "heavy"), DOUBLE),
    }
)

# The words of jumps, without blanks and stops, with the names that decorations of ABC have (section 4.14).
_JUMPS = MappingProxyType(
    {
        "fine": "fine",
        "dc": "D.C.",
        "dacapo": "D.C.",
        "dcalfine": "D.C.alfine",
        "dacapoalfine": "D.C.alfine",
        "dcalcoda": "D.C.alcoda",
        "dacapoalcoda": "D.C.alcoda",
        "ds": "D.S.",
        "dalsegno": "D.S.",
        "dsalfine": "D.S.alfine",
        "dalsegnoalfine": "D.S.alfine",
        "dsalcoda": "D.S.alcoda",
        "dalsegnoalcoda": "D.S.alcoda",
        "tocoda": "dacoda",
    }
)
_SIGNS_BETWEEN = re.compile(r"[\s.,;]+")
_PASSES = re.compile(r"(?:play\s+)?(\d{1,2})\s*(?:×|x|times)\.?", re.IGNORECASE)


def line_of(form: str) -> BarLine:
    """The bar line of a rendition such as "rptend"; a plain one for all that mean nothing to a player."""
    return _LINES.get(form, PLAIN)


def jump_of(words: str) -> str | None:
    """The jump that some words ask for ("D.C. al Fine"), by its name in ABC; None for other words."""
    return _JUMPS.get(_SIGNS_BETWEEN.sub("", words[:40]).lower())


def passes_of(words: str) -> int | None:
    """How often a repeated stretch is played by words such as "3×" or "play 3 times"; None for other words."""
    match = _PASSES.fullmatch(words.strip()[:20])
    return min(int(match[1]), MAX_PASSES) if match and int(match[1]) > 1 else None
