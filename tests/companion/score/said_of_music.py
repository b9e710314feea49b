# ruff: noqa: E501  messages stand here as they are printed
"""Texts with mistakes in the music, and all that is said of each."""

from __future__ import annotations

HEAD = "X:1\nT:t\nM:2/4\nL:1/8\nK:HP\n"
SCALE = "write one of G A B c d e f g a"


def with_field(line: str) -> str:
    """One bar under a header with this line as its third."""
    return f"X:1\nT:t\n{line}\nL:1/8\nK:HP\nA4|"


# A text, and all that is said of it. Music alone stands on line 6, in a free metre.
SAID_OF_MUSIC = {
    # Notes
    "A D c|": [
        "E note-outside-nine 6:3: no chanter has the note 'D' under K:HP, so it is left out; write one of G A B c d e f g a, or read it with --transpose 5: the whole tune fits 5 semitones higher",
    ],
    "A b c|": [
        "E note-outside-nine 6:3: no chanter has the note 'b' under K:HP, so it is left out; write one of G A B c d e f g a, or read it with --transpose -2: the whole tune fits 2 semitones lower",
    ],
    "A =c c|": [
        "E note-outside-nine 6:3: no chanter has the note '=c' under K:HP (2 times in this tune), so they are left out; write one of G A B c d e f g a, or read it with --transpose 2: the whole tune fits 2 semitones higher",
    ],
    "A ^g|": [
        "E note-outside-nine 6:3: no chanter has the note '^g' under K:HP, so it is left out; write one of G A B c d e f g a, or read it with --transpose -2: the whole tune fits 2 semitones lower",
    ],
    "X:1\nT:t\nK:F\nA B|": [
        "E note-outside-nine 4:3: no chanter has the note 'B' under K:F, so it is left out; write one of G A B c d e f g a, or read it with --transpose 4: the whole tune fits 4 semitones higher",
    ],
    "X:1\nT:t\nK:G\nA c c|": [
        "W letter-bent 4:3: under K:G 'c' is not the chanter's C, but is played as it; write K:HP",
    ],
    "X:1\nT:t\nK:A\nA g g|": [
        "W letter-bent 4:3: under K:A 'g' is not the chanter's high G, but is played as it; write K:HP",
    ],
    "A0 B|": [
        "E length-unreadable 6:1: '0' is no note length; write it as 2, /2 or 3/2",
    ],
    "A257 B|": [
        "E length-unreadable 6:1: '257' is no note length; write it as 2, /2 or 3/2",
    ],
    "A//4 B|": [
        "E length-unreadable 6:1: '//4' is no note length; write it as 2, /2 or 3/2",
    ],
    "3A|": [
        "W stray-number 6:1: the number 3 has no note before it; take it out or write a note",
    ],
    "hA|": [
        "W unknown-symbol 6:1: 'h' is neither a note nor a symbol; take it out, or define it with U:",
    ],
    "A ßß B|": [
        "W stray-sign 6:3: 'ßß' has no meaning in music; take it out, or write % before a remark",
    ],
    "[Ae] B|": [
        "W chord 6:1: a chanter plays one note at a time; write the melody note alone",
    ],
    "[DE] B|": [
        "W chord 6:1: a chanter plays one note at a time; write the melody note alone",
        "E note-outside-nine 6:1: no chanter has the note 'D' under K:HP, so it is left out; write one of G A B c d e f g a, or read it with --transpose 5: the whole tune fits 5 semitones higher",
    ],
    "A & B|c|": [
        "W overlay 6:3: a chanter plays one voice, so the overlay is left out; write the melody alone",
    ],
    # Gracenotes
    "{gA B|": [
        "E brace-not-closed 6:1: a brace of gracenotes is not closed; write '}' after the last gracenote",
    ],
    "gA} B|": [
        "E brace-not-opened 6:3: '}' closes what was not opened; take it out or write its partner",
    ],
    "{gzd}A|": [
        "E gracenote-unreadable 6:3: 'z' has no meaning among gracenotes; take it out, write one of G A B c d e f g a",
    ],
    "{gDd}A|": [
        "E note-outside-nine 6:3: no chanter has the note 'D' under K:HP, so it is left out; write one of G A B c d e f g a",
    ],
    "{g0d}A|": [
        "E length-unreadable 6:2: '0' is no note length; write it as 2, /2 or 3/2",
    ],
    "{g}z A|": [
        "W gracenotes-onto-rest 6:2: gracenotes lead onto a rest, so they are left out; write them before a note",
    ],
    "A{g}|": [
        "W gracenotes-without-note 6:3: no note follows these gracenotes, so they are left out; write the note that they lead onto",
    ],
    # Quotations
    '"Am A|B|': [
        "E quotation-not-closed 6:1: a quotation mark is not closed, so what follows it in its bar is lost; write the second one",
    ],
    # Rhythm
    "A>|B|": [
        "W broken-rhythm-alone 6:3: no note follows '>' in its bar; write it between two notes",
    ],
    ">A|": [
        "W broken-rhythm-alone 6:1: no note stands before '>'; write it between two notes",
    ],
    "A2>B|": [
        "W broken-rhythm-uneven 6:4: '>' stands between notes of unequal length, which the standard leaves undefined; write the lengths out",
    ],
    "(1A|": [
        "W tuplet-unreadable 6:1: '(1' is no tuplet; write (3 or another from (2 to (15",
    ],
    "(3AB|c|": [
        "W tuplet-unfinished 6:1: 1 note is missing from this tuplet; write what is missing",
    ],
    "(3A(3ABc|": [
        "W tuplet-unfinished 6:4: a tuplet begins within another; end the one before it begins",
    ],
    "A-B|": [
        "W tie-alone 6:1: a tie leads to another note; take the '-' out",
    ],
    "A-{g}A|": [
        "W tie-alone 6:1: gracenotes part the notes of a tie; take the '-' out",
    ],
    "A B-|": [
        "W tie-alone 6:3: no note follows this tie; take the '-' out",
    ],
    "-A|": [
        "W tie-alone 6:1: no note stands before this tie; take the '-' out",
    ],
    "|:A|1B-:|2B||": [
        "W tie-alone 6:6: a tie reaches over bars that are not always played one after the other; take the '-' out",
    ],
    # Bars
    f"{HEAD}A4B|A4|": [
        "W bar-too-long 6:1: the bar is too long: it lasts 5/8, M:2/4 asks for 4/8; shorten its notes or write the missing bar line",
    ],
    f"{HEAD}A4|B2|A4|": [
        "W bar-too-short 6:4: the bar is too short: it lasts 1/4, M:2/4 asks for 2/4; lengthen its notes or write the missing ones",
    ],
    "AZ|": [
        "W rest-within-bar 6:2: a rest of whole bars stands within a bar; put a bar line before it",
    ],
    "A|Z999999|": [
        "E rest-beyond-measure 6:3: a rest of 999999 bars cannot be played; write a count from 1 to 500",
    ],
    # Repeats
    "|:A|B|": [
        "W repeat-not-closed 6:3: the repeat that begins here has no end; write :| where it ends",
    ],
    ":|A|": [
        "W repeat-of-nothing 6:1: nothing stands before this repeat; take the repeat sign out",
    ],
    "|:A|1B|2c||": [
        "W ending-not-closed 6:6: this ending has no repeat sign at its end; write :| after it",
    ],
    "|:A|1B:|c|": [
        "W ending-missing 6:6: there is no ending for pass 2; write [2 and its bars",
    ],
    "A|2B||": [
        "W ending-alone 6:4: this is an ending for pass 2, but nothing is repeated; write |: and :| around what is repeated",
    ],
    "|:A|[0B:|": [
        "W ending-unreadable 6:5: '0' numbers no ending that can be played; number endings from 1 to 64",
    ],
    "A!D.C.!|": [
        "W jump-not-followed 6:2: !D.C.! is not followed; write the order of parts with P:",
    ],
}
