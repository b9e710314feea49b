"""What is said of mistakes: place, what is wrong, what to do; and the rest of the tune is there."""

from __future__ import annotations

import pytest

from companion.score.abc import read_abc_text
from companion.score.abc.problems import MAX_PROBLEMS
from tests.companion.score.reading import complaints, order, spell, tune_of, whole

HEAD = "X:1\nT:t\nM:2/4\nL:1/8\nK:HP\n"
SCALE = "write one of G A B c d e f g a"


def with_field(line: str) -> str:
    """One bar under a header with this line as its third."""
    return f"X:1\nT:t\n{line}\nL:1/8\nK:HP\nA4|"


# A text, and all that is said of it. Music alone stands on line 6, in a free metre.
SAID = {
    # Notes
    "A D c|": [f"E 6:3: no chanter has the note 'D' under K:HP, so it is left out; {SCALE}"],
    "A b c|": [f"E 6:3: no chanter has the note 'b' under K:HP, so it is left out; {SCALE}"],
    "A =c c|": [
        f"E 6:3: no chanter has the note '=c' under K:HP, so it is left out; {SCALE}",
        f"E 6:6: no chanter has the note '=c' under K:HP, so it is left out; {SCALE}",
    ],
    "A ^g|": [f"E 6:3: no chanter has the note '^g' under K:HP, so it is left out; {SCALE}"],
    "X:1\nT:t\nK:F\nA B|": [f"E 4:3: no chanter has the note 'B' under K:F, so it is left out; {SCALE}"],
    "X:1\nT:t\nK:G\nA c c|": ["W 4:3: under K:G 'c' is not the chanter's C, but is played as it; write K:HP"],
    "X:1\nT:t\nK:A\nA g g|": ["W 4:3: under K:A 'g' is not the chanter's high G, but is played as it; write K:HP"],
    "A0 B|": ["E 6:1: '0' is no note length; write it as 2, /2 or 3/2"],
    "A257 B|": ["E 6:1: '257' is no note length; write it as 2, /2 or 3/2"],
    "A//4 B|": ["E 6:1: '//4' is no note length; write it as 2, /2 or 3/2"],
    "3A|": ["E 6:1: the number 3 has no note before it; take it out or write a note"],
    "hA|": ["E 6:1: 'h' is neither a note nor a symbol; take it out, or define it with U:"],
    "A ßß B|": ["E 6:3: 'ßß' has no meaning in music; take it out, or write % before a remark"],
    "[Ae] B|": ["W 6:1: a chanter plays one note at a time; write the melody note alone"],
    "[DE] B|": [
        "W 6:1: a chanter plays one note at a time; write the melody note alone",
        f"E 6:1: no chanter has the note 'D' under K:HP, so it is left out; {SCALE}",
    ],
    "A & B|c|": ["W 6:3: a chanter plays one voice, so the overlay is left out; write the melody alone"],
    # Gracenotes
    "{gA B|": ["E 6:1: a brace of gracenotes is not closed; write '}' after the last gracenote"],
    "gA} B|": ["E 6:3: '}' closes what was not opened; take it out or write its partner"],
    "{gzd}A|": [f"E 6:3: 'z' has no meaning among gracenotes; take it out, {SCALE}"],
    "{gDd}A|": [f"E 6:3: no chanter has the note 'D' under K:HP, so it is left out; {SCALE}"],
    "{g0d}A|": ["E 6:2: '0' is no note length; write it as 2, /2 or 3/2"],
    "{g}z A|": ["W 6:2: gracenotes lead onto a rest, so they are left out; write them before a note"],
    "A{g}|": ["E 6:3: no note follows these gracenotes; write the note that they lead onto"],
    # Quotations
    '"Am A|B|': ["E 6:1: a quotation mark is not closed; write the second one"],
    # Rhythm
    "A>|B|": ["E 6:3: no note follows '>' in its bar; write it between two notes"],
    ">A|": ["E 6:1: no note stands before '>'; write it between two notes"],
    "A2>B|": [
        "W 6:4: '>' stands between notes of unequal length, which the standard leaves undefined; write the lengths out"
    ],
    "(1A|": ["E 6:1: '(1' is no tuplet; write (3 or another from (2 to (15"],
    "(3AB|c|": ["E 6:1: 1 note is missing from this tuplet; write what is missing"],
    "(3A(3ABc|": ["E 6:4: a tuplet begins within another; end the one before it begins"],
    "A-B|": ["W 6:1: a tie leads to another note; take the '-' out"],
    "A-{g}A|": ["W 6:1: gracenotes part the notes of a tie; take the '-' out"],
    "A B-|": ["W 6:3: no note follows this tie; take the '-' out"],
    "-A|": ["E 6:1: no note stands before this tie; take the '-' out"],
    "|:A|1B-:|2B||": [
        "W 6:6: a tie reaches over bars that are not always played one after the other; take the '-' out"
    ],
    # Bars
    f"{HEAD}A4B|A4|": [
        "E 6:1: the bar is too long: it lasts 5/8, M:2/4 asks for 4/8; shorten its notes or write the missing bar line"
    ],
    f"{HEAD}A4|B2|A4|": [
        "W 6:4: the bar is too short: it lasts 1/4, M:2/4 asks for 2/4; lengthen its notes or write the missing ones"
    ],
    "AZ|": ["E 6:2: a rest of whole bars stands within a bar; put a bar line before it"],
    "A|Z999999|": ["E 6:3: a rest of 999999 bars cannot be played; write a count from 1 to 500"],
    # Repeats
    "|:A|B|": ["W 6:3: the repeat that begins here has no end; write :| where it ends"],
    ":|A|": ["W 6:1: nothing stands before this repeat; take the repeat sign out"],
    "|:A|1B|2c||": ["W 6:6: this ending has no repeat sign at its end; write :| after it"],
    "|:A|1B:|c|": ["W 6:6: there is no ending for pass 2; write [2 and its bars"],
    "A|2B||": ["W 6:4: this is an ending for pass 2, but nothing is repeated; write |: and :| around what is repeated"],
    "|:A|[0B:|": ["E 6:5: '0' numbers no ending that can be played; number endings from 1 to 64"],
    "A!D.C.!|": ["W 6:2: !D.C.! is not followed; write the order of parts with P:"],
    # Fields
    with_field("J:x"): ["E 3:1: there is no field 'J:'; take the line out, or write N: for a remark"],
    "A|\nJ:x\nB|": ["E 7:1: there is no field 'J:'; take the line out, or write N: for a remark"],
    "A[J:x]B|": ["E 6:2: there is no field 'J:'; take it out, or write [r:...] for a remark"],
    "A|\nC:x\nB|": ["W 7:3: the field C: belongs into the header; write it before the K: field"],
    with_field("M:2/5"): ["E 3:3: '2/5' is no metre; write M:6/8, M:C, M:C| or M:none"],
    with_field("L:1/9"): ["E 3:3: '1/9' is no unit note length; write L:1/8, L:1/16 or such"],
    with_field("Q:fast"): ["E 3:3: 'fast' is no tempo; write Q:1/4=80 or Q:3/8=76"],
    with_field("Q:1/0=60"): ["E 3:3: '1/0=60' is no tempo; write Q:1/4=80 or Q:3/8=76"],
    with_field("Q:1/4=0.1"): ["E 3:3: '1/4=0.1' is no tempo; write Q:1/4=80 or Q:3/8=76"],
    with_field("Q:120"): ["W 3:3: '120' is an old form of tempo; write Q:1/4=80"],
    with_field("U:A=!x!"): ["E 3:3: 'A=!x!' defines no symbol; write U:T = !trill! or such"],
    with_field("M:2\x854"): ["E 3:3: '2<85>4' is no metre; write M:6/8, M:C, M:C| or M:none"],
    with_field("M:" + 99 * "2"): [f"E 3:3: '{40 * '2'}…' is no metre; write M:6/8, M:C, M:C| or M:none"],
    with_field("m:~g = {a}g"): ["W 3:3: macros are not played; write out what the macro stands for"],
    with_field("a line"): [
        "E 3:1: this line is neither a field nor, before the key, music; "
        "begin it with a field's letter and a colon, or %"
    ],
    "X:1\nT:t\nK:Q\nA|": ["E 3:3: 'Q' is no key; write K:HP, the key of pipe music, or K:D"],
    "A|\nV:1\nB|\nV:2\nc|": ["W 9:3: only the first voice is read, '2' is left out; write it as a tune of its own"],
    "A|\n\nB|c|": [
        "W 8:1: this looks like music, but an empty line ended the tune before it, so it is left out; "
        "take the empty line out or write X: before it"
    ],
    # Plans
    with_field("P:AB"): [
        "E 3:3: the plan names part A, which is not in the tune; write P:A where it begins, or take it out of the plan",
        "E 3:3: the plan names part B, which is not in the tune; write P:B where it begins, or take it out of the plan",
    ],
    with_field("P:(A"): ["E 3:3: a bracket in the plan is not closed; write the ')'"],
    with_field("P:A)"): ["E 3:3: the plan closes a bracket that it has not opened; take out the ')'"],
    with_field("P:A+B"): ["E 3:3: '+' has no meaning in a plan of parts; use part letters, brackets and counts"],
    with_field("P:A0"): ["E 3:3: a part is to be played 0 times; give it a count of 1 or more, or take it out"],
    with_field("P:((((A99)99)99)99)99"): [
        "E 3:3: the plan asks for more than 100,000 bars; make its counts smaller",
    ],
    with_field("P:A" + 5000 * "9"): ["E 3:3: the plan asks for more than 100,000 bars; make its counts smaller"],
}


@pytest.mark.parametrize("abc", SAID)
def test_what_is_said(abc: str) -> None:
    """Each mistake is told once, at its place, with a remedy."""
    assert complaints(abc) == SAID[abc]


@pytest.mark.parametrize("abc", SAID)
def test_the_rest_can_still_be_played(abc: str) -> None:
    """Whatever is wrong, the tune is there with at least a note."""
    assert any(note.note is not None for note in tune_of(abc).notes) or abc == "[DE] B|"


def test_a_tune_without_key_or_music_says_both() -> None:
    """The header is never closed, and there is nothing to play."""
    assert read_abc_text("X:1\nT:t\n").tunes == ()
    assert [problem.what for problem in read_abc_text("X:1\nT:t\n").problems] == [
        "the tune has no key",
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
    """60,000 times a part of two bars is too much, of one is not."""
    head = "X:1\nT:t\nL:1/8\nP:A60000\nK:HP\nP:A\n"
    assert len(tune_of(f"{head}A|").order) == 60000
    assert len(tune_of(f"{head}A|B|").order) == 2


def test_repeats_beyond_measure_are_cut_off() -> None:
    """2,000 bars that are played 64 times over are more than fits."""
    said = complaints(2000 * "A|" + " " + 70 * ":" + "|")
    assert said == ["E 1:1: repeats make more than 100,000 bars; repeat less"]


def test_a_million_mistakes_are_not_all_told() -> None:
    """The first ones are, and how many more there are."""
    said = complaints("D|" * 2000)
    assert len(said) == MAX_PROBLEMS + 1
    assert (
        said[-1]
        == f"E 6:{2 * MAX_PROBLEMS - 1}: {2000 - MAX_PROBLEMS} more problems follow; put right the ones above first"
    )


def test_problems_stand_in_the_order_of_the_text() -> None:
    """A tie is judged last, but told in its place."""
    assert [said.split(":")[1] for said in complaints("A-B D|")] == ["1", "5"]


def test_every_problem_is_one_line() -> None:
    """Whatever the text holds."""
    assert all(len(said.splitlines()) == 1 for said in complaints(whole("A \x0b\x0c\x85\u2028 B|")))
