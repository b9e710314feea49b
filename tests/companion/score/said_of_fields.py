# ruff: noqa: E501  messages stand here as they are printed
"""Texts with mistakes in fields and in the form, and all that is said of each."""

from __future__ import annotations

from tests.companion.score.said_of_music import with_field

SAID_OF_FIELDS = {
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
