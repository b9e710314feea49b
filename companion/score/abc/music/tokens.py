"""Cuts a line of music into words with one regular expression."""

from __future__ import annotations

import re

LENGTH = r"\d{0,6}(?:/+\d{0,6})?"
PITCH = r"(?:\^{1,2}|_{1,2}|=)?[A-Ga-g][,']*"
BROKEN = r"(?:>+|<+)"
ENDING = r"\d{1,4}(?:-\d{1,4})?(?:,[ ]?\d{1,4}(?:-\d{1,4})?)*"

TRIPLET = 3
"""The tuplet that pipe music has, three notes in the time of two in any metre."""

LONGEST_RUN = 64
"""Notes that are read as one run: more than a bar has."""

# A melody note together with the gracenotes before it, the tie and the broken-rhythm mark after it, and the blanks that
# follow (a backquote is a blank: ABC 2.1 section 4.7). Groups: 1 the gracenotes, 2 the rest of the note.
NOTE = re.compile(rf"(\{{[^{{}}]*\}}[ \t`]*)?((?:{PITCH}|[xz]){LENGTH}-?{BROKEN}?)[ \t`]*")

# The same without accidental and tie, so that it is found quickly.
_BLANKS = r"[\x20\t`]*+"
_BARE = rf"(?:\{{[^{{}}]*\}}{_BLANKS})?[A-Ga-gxz](?>[,']*{LENGTH})"
_TRIPLET = rf"\({TRIPLET}(?![\d:]){_BLANKS}(?:{_BARE}(?![-<>]){_BLANKS}){{3}}"
# Within a run: notes that broken rhythm joins, mostly a single one; or a plain triplet. A mark that does not touch the
# note before it is a word by itself.
JOINED = re.compile(rf"{_BARE}(?>(?:{BROKEN}{_BLANKS}{_BARE})*){BROKEN}?{_BLANKS}|{_TRIPLET}")

# What stands between blanks or beside a bar line, with the blanks after it. Where all of a chunk is notes, or a plain
# bar line, a word may end with it.
CHUNK = re.compile(r"[^ |]+ *|\|[|:\[\]\d]* *| +")

# Groups are repeated in atomic groups, not possessively: in Python 3.11.2 a possessive repeat of a group keeps what a
# last, failing repeat had begun with, so that the "(3" of "Fd(3(BAG)" was part of a run, and was read for ever.
#
# One match is one word, with the blanks after it. Bare notes that follow each other are one word, a run, which a plain
# bar line may close: they make up most of a tune. Any other bar line is a row of | ] : and of [ before | or ], since
# people write all sorts of them (section 4.8), with the number of the ending that begins there.
TOKEN = re.compile(
    rf"""(?:
      (?P<run>(?>(?:{_BARE}(?!-){BROKEN}?{_BLANKS}|{_TRIPLET}){{1,{LONGEST_RUN}}}))(?P<closed>\|(?![|\]:\[\d]){_BLANKS})?
    | (?P<bar>\.?(?:[|\]:]|\[(?=[|\]]))+(?:{ENDING}[.)]?)?)
    | (?P<note>(?:\{{[^{{}}]*\}}[\ \t`]*)?(?:{PITCH}|[xz]){LENGTH}-?{BROKEN}?)
    | (?P<field>\[[A-Za-z]:[^\[\]|]*\|?\])
    | (?P<openfield>\[[A-Za-z]:[^\[\]|]*)
    | (?P<ending>\[[\ \t]*(?:{ENDING}[.):]?|"[^"]*"))
    | (?P<chord>\[[\ \t`]*+(?>(?:{PITCH}{LENGTH}-?[\ \t`]*+)+)\]{LENGTH}-?{BROKEN}?)
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
