# ruff: noqa: E501  messages stand here as they are printed
"""What is said of mistakes: place, what is wrong, what to do; and the rest of the tune is there."""

from __future__ import annotations

import pytest

from companion.score.abc import read_abc_text
from companion.score.abc.text.problems import MOST_PROBLEMS
from tests.companion.score.reading import complaints, order, spell, tune_of, whole

HEAD = "X:1\nT:t\nM:2/4\nL:1/8\nK:HP\n"
SCALE = "write one of G A B c d e f g a"


def with_field(line: str) -> str:
    """One bar under a header with this line as its third."""
    return f"X:1\nT:t\n{line}\nL:1/8\nK:HP\nA4|"


# A text, and all that is said of it. Music alone stands on line 6, in a free metre.
SAID = {
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
        "E gracenotes-without-note 6:3: no note follows these gracenotes; write the note that they lead onto",
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
    # Fields
    with_field("J:x"): [
        "W unknown-field 3:1: there is no field 'J:', so it is passed over; take the line out, or write N: for a remark",
    ],
    "A|\nJ:x\nB|": [
        "W unknown-field 7:1: there is no field 'J:', so it is passed over; take the line out, or write N: for a remark",
    ],
    "A[J:x]B|": [
        "W unknown-field 6:2: there is no field 'J:', so it is passed over; take it out, or write [r:...] for a remark",
    ],
    "A|\nC:x\nB|": [
        "W field-in-body 7:3: the field C: belongs into the header; write it before the K: field",
    ],
    with_field("M:2/5"): [
        "W unknown-metre 3:3: '2/5' is no metre, so it is taken for none; write M:6/8, M:C, M:C| or M:none",
    ],
    with_field("L:1/9"): [
        "W unknown-unit 3:3: '1/9' is no unit note length; write L:1/8, L:1/16 or such",
    ],
    with_field("Q:fast"): [
        "W unknown-tempo 3:3: 'fast' is no tempo; write Q:1/4=80 or Q:3/8=76",
    ],
    with_field("Q:1/0=60"): [
        "W unknown-tempo 3:3: '1/0=60' is no tempo; write Q:1/4=80 or Q:3/8=76",
    ],
    with_field("Q:1/4=0.1"): [
        "W unknown-tempo 3:3: '1/4=0.1' is no tempo; write Q:1/4=80 or Q:3/8=76",
    ],
    with_field("Q:120"): [
        "W old-tempo 3:3: '120' is an old form of tempo; write Q:1/4=80",
    ],
    with_field("U:A=!x!"): [
        "W unknown-symbol-definition 3:3: 'A=!x!' defines no symbol; write U:T = !trill! or such",
    ],
    with_field("M:2\x854"): [
        "W unknown-metre 3:3: '2<85>4' is no metre, so it is taken for none; write M:6/8, M:C, M:C| or M:none",
    ],
    with_field("M:" + 99 * "2"): [
        "W unknown-metre 3:3: '2222222222222222222222222222222222222222…' is no metre, so it is taken for none; write M:6/8, M:C, M:C| or M:none",
    ],
    with_field("m:~g = {a}g"): [],
    with_field("a line"): [
        "W stray-header-line 3:1: this line is neither a field nor, before the key, music; begin it with a field's letter and a colon, or %",
    ],
    "X:1\nT:t\nK:Q\nA|": [
        "W unknown-key 3:3: 'Q' is no key, so the pipe scale is taken; write K:HP, the key of pipe music, or K:D",
    ],
    "A|\nV:1\nB|\nV:2\nc|": [
        "W other-voice 9:3: only the first voice is read, '2' is left out; write it as a tune of its own",
    ],
    "A|\n\nB|c|": [
        "W empty-line-in-tune 8:1: an empty line stands within this tune, which goes on after it; take the empty line out",
    ],
    # Plans
    with_field("P:AB"): [
        "W plan-without-parts 3:3: P:AB names no part of this tune, which is played as it is written; write P: and a letter where each part begins",
    ],
    with_field("P:(A"): [
        "W plan-without-parts 3:3: P:(A names no part of this tune, which is played as it is written; write P: and a letter where each part begins",
    ],
    with_field("P:A)"): [
        "W plan-without-parts 3:3: P:A) names no part of this tune, which is played as it is written; write P: and a letter where each part begins",
    ],
    with_field("P:A+B"): [
        "W plan-without-parts 3:3: P:A+B names no part of this tune, which is played as it is written; write P: and a letter where each part begins",
    ],
    with_field("P:A0"): [
        "W plan-without-parts 3:3: P:A0 names no part of this tune, which is played as it is written; write P: and a letter where each part begins",
    ],
    with_field("P:((((A99)99)99)99)99"): [
        "W plan-without-parts 3:3: P:((((A99)99)99)99)99 names no part of this tune, which is played as it is written; write P: and a letter where each part begins",
    ],
    with_field("P:A" + 5000 * "9"): [
        "W plan-without-parts 3:3: P:A999999999999999999999999999999999999999… names no part of this tune, which is played as it is written; write P: and a letter where each part begins",
    ],
    # Lines and words
    '|:A|"1st time"B:|"2nd time"c||': [
        "W ending-in-words 6:5: an ending is written in words, '1st time', and is followed; write [1 and [2",
        "W ending-in-words 6:18: an ending is written in words, '2nd time', and is followed; write [1 and [2",
    ],
    "A B|\nSlowly and with feeling\nc d|": [
        "W words-in-music 7:1: 'Slowly and with feeling' looks like words, not music, so it is passed over; write % or N: before it",
    ],
    "X:1\nT:t\nK:HP A B|c d|\nA|": [
        "W music-beside-key 3:6: music stands on the line of the key, and is read; write it on a line of its own",
    ],
    "A B|\n%%begintext\nA word\nc|": [
        "W text-not-closed 7:1: no %%endtext follows this %%begintext, so what comes after it is read as music; write %%endtext after it",
        "W words-in-music 8:1: 'A word' looks like words, not music, so it is passed over; write % or N: before it",
    ],
    with_field("K:HP\nC:me"): [
        "W field-in-body 4:3: the field C: belongs into the header; write it before the K: field",
    ],
    with_field("m:wrong"): [
        "W unknown-macro 3:3: 'wrong' defines no macro; write m:t = {gdG} or such",
    ],
    with_field("m:t=" + 150 * "A").replace("A4|", "tttA|"): [
        "E macro-too-long 6:1: the macros make this line too long, so they are not followed in it; make them shorter",
        "W unknown-symbol 6:1: 't' is neither a note nor a symbol; take it out, or define it with U:",
    ],
    with_field("M:2/4 march"): [
        "W unknown-metre 3:3: '2/4 march' is no metre, so it is taken for 2/4; write M:6/8, M:C, M:C| or M:none",
    ],
    with_field("L:1/16th"): [
        "W unknown-unit 3:3: '1/16th' is no unit note length; write L:1/8, L:1/16 or such",
    ],
    with_field("Q:1/4=80-90"): [
        "W unknown-tempo 3:3: '1/4=80-90' is no tempo, so it is taken for 85 a minute; write Q:1/4=80 or Q:3/8=76",
    ],
    with_field("Q:1/4=ca. 80"): [
        "W unknown-tempo 3:3: '1/4=ca. 80' is no tempo, so it is taken for 80 a minute; write Q:1/4=80 or Q:3/8=76",
    ],
    "X:1\nT:t\nL:1/8\nK:hp\nA|": [
        "W key-spelled-oddly 4:3: 'hp' is taken for the key HP; write K:HP",
    ],
    "X:1\nT:t\nL:1/8\nK:d\nA|": [
        "W key-spelled-oddly 4:3: 'd' is taken for the key D; write K:D",
    ],
    "X:1\nT:t\nL:1/8\nK:HP very loud\nA|": [
        "W key-spelled-oddly 4:3: 'HP very loud' is taken for the key HP; write K:HP",
    ],
    "X:\nT:t\nK:HP\nA|": [
        "W no-number 1:1: '' is no tune number; write X:1 or such",
    ],
    "X:1\nM:C\nT:t\nK:HP\nA8|": [
        "W field-order 1:1: the title is not the second line of the header; write T: right after X:",
    ],
    "X:1\nK:HP\nA8|": [
        "W no-title 1:1: the tune has no title; write T: and the title on the line after X:",
    ],
    "T:t\nK:HP\nA8|": [
        "W no-number 1:1: this tune has no number; write X:1 on a line before it",
    ],
    "X:1\nT:t\nL:1/8\nA|\nK:HP\nB|": [
        "W no-key 1:1: the tune has no key, so the pipe scale is taken; write K:HP as the last line of its header",
    ],
    "Aq2 B|": [
        "E letter-no-note 6:2: 'q' is neither a note nor a symbol; take it out, or define it with U:",
    ],
    "A [M:2/4 B|c|": [
        "E field-not-closed 6:3: the field '[M:2/4 B' is not closed, so what follows it in its bar is lost; write ']' after it",
    ],
    "A ] B|": [
        "W stray-sign 6:3: ']' closes what was not opened; take it out",
    ],
    "A !B!|c|": [],
    "+trill+A|": [
        "W old-decoration 6:1: '+trill+' is an old form; write it between two !",
    ],
    "A -A|": [
        "W tie-detached 6:3: a tie must touch its first note; write c-c, not c -c",
    ],
    "|:A| 1B:|2c||": [
        "W ending-spaced 6:6: an ending is numbered with a blank after the bar line: '| 1'; write '|1' or '[1'",
    ],
    "{" + 70 * "g" + "}A B|": [
        "E gracenotes-beyond-measure 6:1: more than 64 gracenotes lead onto one note, so they are left out; write those that belong to it",
    ],
    "A|Z501|B|": [
        "E rest-beyond-measure 6:3: a rest of 501 bars cannot be played; write a count from 1 to 500",
    ],
    "X:1\nT:t\nM:2/4\nL:1/8\nK:HP\nA4B4c4d4|e8|A4|A8|": [
        "W bar-too-long 6:1: the bar is too long: it lasts 8/4, M:2/4 asks for 2/4; shorten its notes or write the missing bar line",
        "W bar-too-long 6:10: the bar is too long: it lasts 4/4, M:2/4 asks for 2/4; shorten its notes or write the missing bar line",
        "W bar-too-long 6:16: the bar is too long: it lasts 4/4, M:2/4 asks for 2/4; shorten its notes or write the missing bar line",
    ],
    "X:1\nT:t\nM:4/4\nL:1/8\nK:HP\nA6|B6|c6|d6|": [
        "W metre-misfit 1:1: most bars last something else than their metre, all alike: it lasts 3/4, M:4/4 asks for 4/4; write M:3/4",
    ],
    "X:1\nT:t\nM:2/4\nL:1/8\nK:HP\nA2B2 c2d2": [
        "W no-bar-lines 6:1: the tune has no bar lines, so it is cut into bars of 2/4; write the bar lines",
    ],
    "X:1\nT:t\nL:1/8\nP:A+B\nK:HP\nP:A\nA|\nP:B\nB|": [
        "E plan-unreadable 4:3: '+' has no meaning in a plan of parts; use part letters, brackets and counts",
    ],
    "X:1\nT:t\nL:1/8\nP:AC\nK:HP\nP:A\nA|\nP:B\nB|": [
        "E plan-part-missing 4:3: the plan names part C, which is not in the tune; write P:C where it begins, or take it out of the plan",
    ],
    "X:1\nT:t\nL:1/8\nP:((((A99)99)99)99)99\nK:HP\nP:A\nA|": [
        "E performance-too-long 4:3: the plan asks for more than 20,000 bars; make its counts smaller",
    ],
    "X:1\nT:t\nL:1/8\nK:HP transpose=3\nA B c|": [
        "W transposition-left-out 1:1: the transposition that the file asks for leads off the chanter, so it is not followed; take it out of the file",
    ],
    "X:1\nT:t\nL:1/8\nK:HP\nC D E F|": [
        "E note-outside-nine 5:1: no chanter has the notes 'C', 'D', 'E', 'F' under K:HP, so they are left out; is it written an octave too low? read it with --transpose 12",
    ],
    "X:1\nT:t\nL:1/8\nK:HP\nC D E F|B,|e'|": [
        "E note-outside-nine 5:1: no chanter has the notes 'C', 'D', 'E', 'F' and 2 more under K:HP, so they are left out; write one of G A B c d e f g a",
    ],
}


@pytest.mark.parametrize("abc", SAID)
def test_what_is_said(abc: str) -> None:
    """Each mistake is told once, at its place, with a remedy."""
    assert complaints(abc) == SAID[abc]


@pytest.mark.parametrize("abc", SAID)
def test_the_rest_can_still_be_played(abc: str) -> None:
    """Whatever is wrong, the tune is there with at least a note."""
    outside = "[DE]" in abc or "C D E F" in abc
    assert outside or any(note.note is not None for note in tune_of(abc).notes)


def test_a_tune_without_key_or_music_says_both() -> None:
    """The header is never closed, and there is nothing to play."""
    assert read_abc_text("X:1\nT:t\n").tunes == ()
    assert [problem.what for problem in read_abc_text("X:1\nT:t\n").problems] == [
        "the tune has no key, so the pipe scale is taken",
        "the tune holds no music",
    ]


def test_without_a_key_the_music_is_still_found() -> None:
    """The first line with a bar line begins it, under K:HP."""
    assert spell("X:1\nT:t\nL:1/8\nA c|\n%K:\n") == "A1 c1"


def test_a_note_left_out_leaves_its_time() -> None:
    """A rest keeps the rest of the tune in place."""
    assert spell("A D2 c|") == "A1 z2 c1"


def test_a_bar_with_something_unreadable_is_not_measured() -> None:
    """One mistake is told once, not again as a bar too long or too short."""
    assert len(complaints(f"{HEAD}A4|{{gA2B2|A4|")) == 1


def test_an_absent_part_leaves_the_others() -> None:
    """The plan goes on without it."""
    assert order("X:1\nT:t\nL:1/8\nP:ACB\nK:HP\nP:A\nA|\nP:B\nB|") == "AB"


def test_a_plan_beyond_measure_plays_the_parts_once() -> None:
    """Nothing is unfolded that does not fit."""
    assert order("X:1\nT:t\nL:1/8\nP:((AB)9999)9999\nK:HP\nP:A\nA|\nP:B\nB|") == "AB"


def test_a_plan_is_measured_in_bars_not_parts() -> None:
    """15,000 times a part of two bars is too much, of one is not."""
    head = "X:1\nT:t\nL:1/8\nP:A15000\nK:HP\nP:A\n"
    assert len(tune_of(f"{head}A|").order) == 15000
    assert len(tune_of(f"{head}A|B|").order) == 2


def test_repeats_beyond_measure_are_cut_off() -> None:
    """2,000 bars that are played 64 times over are more than fits, and are played once."""
    abc = 2000 * "A|" + " " + 70 * ":" + "|"
    assert complaints(abc) == [
        "E performance-too-long 1:1: repeats and rests make this longer than 20,000 bars, "
        "so it is played without repeats; repeat less"
    ]
    assert len(order(abc)) == 2000


def test_rests_beyond_measure_are_cut_off() -> None:
    """A rest of 500 bars weighs 500 bars, so that forty of them fit."""
    abc = 1200 * "Z500|"
    assert [said.split()[1] for said in complaints(abc)] == ["performance-too-long"]
    assert order(abc) == 40 * "z"


def test_a_rest_of_many_bars_is_one_bar_that_counts_for_all() -> None:
    """The bar after it is numbered accordingly."""
    assert [bar.number for bar in tune_of("X:1\nT:t\nM:2/4\nL:1/8\nK:HP\nA4|Z3|B4|").bars] == [1, 2, 5]


def test_notes_outside_are_said_once_a_tune() -> None:
    """However many there are, with their number."""
    said = complaints(5000 * "D|")
    assert len(said) == 1
    assert "'D' under K:HP (5000 times in this tune)" in said[0]


def test_a_million_mistakes_are_not_all_told() -> None:
    """The first ones are, and how many more there are."""
    said = complaints("A0|" * 2500)
    assert len(said) == MOST_PROBLEMS + 1
    assert said[-1].startswith("W many-problems ")
    assert said[-1].endswith("500 more problems follow (500 of them errors); put right the ones above first")


def test_an_error_after_a_thousand_warnings_is_told() -> None:
    """A tune that has one must not pass as sound."""
    said = complaints("+x+A|" * 2500 + "A0|")
    assert [each.split()[1] for each in said if each.startswith("E")] == ["length-unreadable"]


def test_no_tune_hides_what_is_wrong_in_another() -> None:
    """Each has problems of its own, and all of its notes."""
    noisy = "X:{}\nT:t\nM:none\nL:1/8\nK:HP\n" + 600 * "+x+A c|" + "\n\n"
    book = read_abc_text("".join(noisy.format(number) for number in range(1, 8)))
    assert [len(book.problems_of(tune)) for tune in book.tunes] == 7 * [600]
    assert [len(tune.notes) for tune in book.tunes] == 7 * [1200]


def test_problems_stand_in_the_order_of_the_text() -> None:
    """A tie is judged last, but told in its place."""
    assert [said.split(":")[1] for said in complaints("A-B D|")] == ["1", "5"]


def test_every_problem_is_one_line() -> None:
    """Whatever the text holds."""
    assert all(len(said.splitlines()) == 1 for said in complaints(whole("A \x0b\x0c\x85\u2028 B|")))
