"""The words of a line of music, found by one regular expression."""

from __future__ import annotations

import re

LENGTH = r"\d{0,6}(?:/+\d{0,6})?"
PITCH = r"(?:\^{1,2}|_{1,2}|=)?[A-Ga-g][,']*"
BROKEN = r"(?:>+|<+)"
ENDING = r"\d{1,4}(?:-\d{1,4})?(?:,[ ]?\d{1,4}(?:-\d{1,4})?)*"

# One match is one word, with the blanks after it (a backquote is a blank: ABC 2.1 section 4.7). A melody note is a
# single word together with the gracenotes before it and the tie and broken-rhythm mark after it: they make up most of
# a tune. Groups: 2 the gracenotes, 3 the rest of the note. A bar line is any run of | ] : and of [ before | or ], since
# people write all sorts of them (section 4.8), with the number of the ending that begins there.
NOTE_GRACES, NOTE_REST = 2, 3
TOKEN = re.compile(
    rf"""(?:
      (?P<note>(\{{[^{{}}]*\}}[\ \t`]*)?((?:{PITCH}|[xz]){LENGTH}-?{BROKEN}?))
    | (?P<bar>\.?(?:[|\]:]|\[(?=[|\]]))+(?:{ENDING}[.)]?)?)
    | (?P<field>\[[A-Za-z]:[^\[\]|]*\|?\])
    | (?P<openfield>\[[A-Za-z]:[^\[\]|]*)
    | (?P<ending>\[[\ \t]*(?:{ENDING}[.):]?|"[^"]*"))
    | (?P<chord>\[[\ \t`]*+(?:{PITCH}{LENGTH}-?[\ \t`]*+)++\]{LENGTH}-?{BROKEN}?)
    | (?P<graces>\{{[^{{}}]*\}})
    | (?P<tuplet>\(\d{{1,4}}(?::\d{{0,4}}){{0,2}})
    | (?P<slur>\.?[()])
    | (?P<quoted>"[^"]*")
    | (?P<decoration>![^!\s|\[\]:]+!|\+[^+\s|\[\]:]+\+)
    | (?P<linebreak>[!$])
    | (?P<multirest>[ZX]\d{{0,6}})
    | (?P<symbol>[H-Wh-w~][\d/]*|\.)
    | (?P<tie>-)
    | (?P<broken>{BROKEN})
    | (?P<spacer>y\d*)
    | (?P<reserved>[\#*;?@])
    | (?P<digits>{ENDING}\.?)
    | (?P<unclosed>[\{{"])
    | (?P<blank>[\s`]+)
    | (?P<stray>\[+(?=\[)|[^\s`|A-Za-z\[\]\{{\}}()"!\d.:]+|[\s\S])
    )[\ \t`]*""",
    re.VERBOSE,
)
