"""A megabyte of each of many things that no piper writes, made by rule: what they could cost is bounded.

Each name says what there is too much of.
"""

from __future__ import annotations

SIZE = 1_000_000
HEAD = "X:1\nT:t\nM:4/4\nL:1/8\nK:HP\n"
TUNE = HEAD + 14 * "ABcdefga|AAAAAAAA|ABcdefga|AAAAAAAA|\n" + "\n"


def _fill(piece: str, head: str = HEAD, tail: str = "") -> str:
    """A text of SIZE characters, mostly of one piece."""
    return head + piece * ((SIZE - len(head) - len(tail)) // len(piece)) + tail


HOSTILE = {
    "rests of many bars": _fill("Z500|"),
    "dense tunes": _fill(TUNE, ""),
    "one long tune": _fill("ABcdefga|AAAAAAAA|\n"),
    "tiny tunes": _fill("X:1\nK:HP\nA|\n\n", ""),
    "headers without music": _fill("X:1\n", ""),
    "one bar": _fill("A"),
    "bars": _fill("A|"),
    "gracenotes": _fill("{gefgefgef}A8|\n"),
    "groups of gracenotes": _fill("{g}", tail="A|"),
    "one group of gracenotes": _fill("gd", HEAD + "{", "}A|"),
    "notes that no chanter has": _fill("D|"),
    "signs without meaning": _fill("ß|"),
    "repeats": _fill("|:A|A|A|:|"),
    "a repeat of thousands of bars": HEAD + "|:" + 4000 * "A|" + 60 * ":" + "|",
    "plan": _fill("((((((A9)9)9)9)9)9)9", "X:1\nP:", "\nK:HP\nP:A\nA|\n"),
    "part labels": _fill("P:A\nA|\n", "X:1\nP:AB\nK:HP\n"),
    "continued fields": _fill("+:x\n", "X:1\nT:t\nN:a\n", "K:HP\nA|\n"),
    "fields": _fill("N:x\n", "X:1\nT:t\n", "K:HP\nA|\n"),
    "a file header for many tunes": 120_000 * "N:x\n" + "\n" + 40_000 * "X:1\nK:HP\nA|\n\n",
    "macros": "X:1\n" + "".join(f"m:t{i}=AAAAAAAAAA\n" for i in range(30_000)) + "K:HP\n" + 400_000 * "t" + "|\n",
    "calls of one macro": _fill("tA|", "X:1\nm:t=" + 190 * "A" + "\nK:HP\n"),
    "text blocks": _fill("%%begintext\n"),
    "quotation marks": _fill('"'),
    "brackets": _fill("["),
    "open fields": _fill("[K:"),
    "ties": _fill("A-", tail="|"),
    "ties over bars": _fill("A-|"),
    "broken rhythm": _fill("A>", tail="|"),
    "tuplets": _fill("(3", tail="A|"),
    "endings": _fill("|1A:|2B"),
    "decorations": _fill("!x!", tail="A|"),
    "words": _fill("hello there\n"),
    "entities": _fill("&amp;", tail="A|"),
    "overlays": _fill("A&A|"),
    "chords": _fill("[Ae]", tail="|"),
    "spellings": HEAD + "".join(f"A{i}" for i in range(160_000)) + "|",
    "voices": HEAD + "".join(f"V:{i}\nA|\n" for i in range(100_000)),
    "parts": _fill("A||"),
    "empty lines": _fill("\n", ""),
    "one line": _fill("X", ""),
    "accidentals": _fill("^A", tail="|"),
    "inline fields": _fill("[L:1/8]A"),
    "jumps": _fill("A!D.C.!|"),
    "numbers": _fill("1 "),
    "one number": _fill("1", "X:", "\nT:t\nK:HP\nA|\n"),
}
