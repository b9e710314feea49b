"""Every kind of problem in the table can be met, under its name, in a text that shows it."""

from __future__ import annotations

from pathlib import Path

import pytest

from companion.commands.check import problems_in
from companion.score.abc.tunebook import LEAST_TUNES
from companion.score.form.bar_builder import MOST_BARS
from companion.score.form.problems import MOST_PROBLEMS
from companion.score.problems import ProblemKind, Severity
from tests.companion.score.formats.scores import measure, mei_document, mei_notes
from tests.companion.score.reading import HEAD

K = ProblemKind
IN_2_4 = "X:1\nT:t\nM:2/4\nL:1/8\nK:HP\n"


def headed(line: str, music: str = "A|") -> str:
    """Music under a header with one more line."""
    return f"X:1\nT:t\n{line}\nL:1/8\nK:HP\n{music}"


# A text that shows each kind; music alone stands under HEAD.
SHOWN = {
    K.FILE_UNREADABLE: " \n",
    K.NOT_ABC: "%PDF-1.7",
    K.NO_TUNE: "Dear piper,\n",
    K.BOOK_TOO_LARGE: 2 * LEAST_TUNES * "X:1\nT:t\nK:HP\nA|\n\n",
    K.NOT_UTF_8: "X:1\nT:Caf\udce9\nK:HP\nA|\n",
    K.TEXT_NOT_CLOSED: "A|\n%%begintext\nB|",
    K.MANY_PROBLEMS: (MOST_PROBLEMS + 1) * "A0",
    K.NO_MUSIC: "X:1\nT:t\nK:HP\n\nX:2\nT:t\nK:HP\nA|",
    K.NO_NUMBER: "X:one\nT:t\nK:HP\nA|",
    K.NO_TITLE: "X:1\nK:HP\nA|",
    K.FIELD_ORDER: "X:1\nM:C\nT:t\nK:HP\nA8|",
    K.NO_KEY: "X:1\nT:t\nA|\nK:HP\nB|",
    K.UNKNOWN_KEY: "X:1\nT:t\nK:Q\nA|",
    K.KEY_SPELLED_ODDLY: "X:1\nT:t\nK:hp\nA|",
    K.UNKNOWN_METRE: headed("M:2/5"),
    K.UNKNOWN_UNIT: headed("L:1/9"),
    K.UNKNOWN_TEMPO: headed("Q:fast"),
    K.OLD_TEMPO: headed("Q:112"),
    K.UNKNOWN_SYMBOL_DEFINITION: headed("U:A=!x!"),
    K.UNKNOWN_MACRO: headed("m:wrong"),
    K.MACRO_TOO_LONG: headed("m:t=" + 150 * "A", "tttA|"),
    K.UNKNOWN_FIELD: headed("J:x"),
    K.FIELD_IN_BODY: "A|\nC:me\nB|",
    K.MUSIC_BESIDE_KEY: "X:1\nT:t\nK:HP A B|c d|\nA|",
    K.STRAY_HEADER_LINE: headed("a line"),
    K.TRANSPOSITION_LEFT_OUT: "X:1\nT:t\nK:HP transpose=3\nA B c|",
    K.EMPTY_LINE_IN_TUNE: "A|\n\nB|c|",
    K.WORDS_IN_MUSIC: "A|\nslowly and with feeling\nB|",
    K.OTHER_VOICE: "V:1\nA|\nV:2\nB|",
    K.OVERLAY: "A & B|",
    K.NOTE_OUTSIDE_NINE: "A D|",
    K.LENGTH_UNREADABLE: "A0|",
    K.LETTER_BENT: "X:1\nT:t\nK:G\nA c|",
    K.CHORD: "[Ae]|",
    K.STRAY_SIGN: "A ß B|",
    K.UNKNOWN_SYMBOL: "hA|",
    K.LETTER_NO_NOTE: "A h2|",
    K.STRAY_NUMBER: "3A|",
    K.FIELD_NOT_CLOSED: "A [M:2/4 B|c|",
    K.QUOTATION_NOT_CLOSED: '"Am A|B|',
    K.OLD_DECORATION: "+trill+A|",
    K.BANG_LINE_END: "A|!\nB|",
    K.JUMP_NOT_FOLLOWED: "A!D.S.!|",
    K.BRACE_NOT_CLOSED: "{gA B|",
    K.BRACE_NOT_OPENED: "gA} B|",
    K.GRACENOTE_UNREADABLE: "{gzd}A|",
    K.GRACENOTES_WITHOUT_NOTE: "A{g}|",
    K.GRACENOTES_BEYOND_MEASURE: "{" + 70 * "g" + "}A|",
    K.GRACENOTES_ONTO_REST: "A {g}z|",
    K.BAR_TOO_LONG: f"{IN_2_4}A4|A4B|A4|A4|",
    K.BAR_TOO_SHORT: f"{IN_2_4}A4|A2|A4|A4|",
    K.METRE_MISFIT: f"{IN_2_4}A8|B8|c8|",
    K.NO_BAR_LINES: f"{IN_2_4}A2B2 c2d2",
    K.BAR_BEYOND_MEASURE: 5000 * "A",
    K.TUNE_BEYOND_MEASURE: (MOST_BARS + 1) * "A|",
    K.REST_BEYOND_MEASURE: "A|Z501|",
    K.REST_WITHIN_BAR: "AZ|",
    K.BROKEN_RHYTHM_ALONE: "A>|B|",
    K.BROKEN_RHYTHM_UNEVEN: "A2>B|",
    K.TUPLET_UNREADABLE: "(1A|",
    K.TUPLET_UNFINISHED: "(3AB|c|",
    K.TIE_DETACHED: "A -A|",
    K.TIE_ALONE: "A-B|",
    K.REPEAT_NOT_CLOSED: "|:A|B|",
    K.REPEAT_OF_NOTHING: ":|A|",
    K.ENDING_SPACED: "|:A| 1B:|2c||",
    K.ENDING_IN_WORDS: '|:A|"1st time"B:|"2nd time"c||',
    K.ENDING_UNREADABLE: "|:A|[0B:|",
    K.ENDING_ALONE: "A|2B||",
    K.ENDING_NOT_CLOSED: "|:A|1B|2c||",
    K.ENDING_MISSING: "|:A|1B:|c|",
    K.PLAN_WITHOUT_PARTS: headed("P:March"),
    K.PLAN_UNREADABLE: headed("P:A+A", "P:A\nA|"),
    K.PLAN_PART_MISSING: headed("P:AB", "P:A\nA|"),
    K.PERFORMANCE_TOO_LONG: headed("P:(((A99)99)99)99", "P:A\nA|"),
    K.NO_SCORE: "<mei/>",
    K.XML_BROKEN: "<mei><music>",
    K.XML_UNSAFE: '<!DOCTYPE mei [<!ENTITY a "b">]><mei/>',
    K.LEFT_OUT: mei_document(measure(f"{mei_notes('A4')}<beatRpt/>")),
    K.REST: "A z B|",
    K.NOTES_NOT_PARTED: "A A|",
    K.GRACENOTE_OUT_OF_REACH: "a {g}c|",
    K.GRACENOTE_NOT_HEARD: "c {cd}c|",
    K.ODD_EMBELLISHMENT: "A {gce}c|",
    K.ODD_PART_LENGTH: f"{IN_2_4}A4|B4|c4|",
}
WHOLE_FILES = {K.FILE_UNREADABLE, K.NOT_ABC, K.NO_TUNE, K.NO_SCORE, K.XML_BROKEN, K.XML_UNSAFE, K.LEFT_OUT}


@pytest.mark.parametrize("kind", ProblemKind, ids=lambda kind: kind.label)
def test_each_kind_is_met_under_its_name(kind: ProblemKind, tmp_path: Path) -> None:
    """Names are for programs, and every one of them can come."""
    text = SHOWN[kind]
    if kind not in WHOLE_FILES and "K:" not in text:
        text = HEAD + text
    path = tmp_path / "a.abc"
    path.write_bytes(text.encode("utf-8", "surrogateescape"))
    found = {problem.kind.label: problem for problem in problems_in(path)[0]}
    assert kind.label in found
    assert found[kind.label].severity is kind.severity


def test_names_are_plain_words() -> None:
    """Lower case, with hyphens, no two alike; each kind says what it means in a sentence."""
    labels = [kind.label for kind in ProblemKind]
    assert len(set(labels)) == len(labels) == len(ProblemKind.__members__)
    assert all(label.replace("-", "").isalnum() and label == label.lower() for label in labels)
    assert all(kind.meaning.endswith(".") for kind in ProblemKind)


def test_errors_are_for_music_that_would_be_lost_or_wrong() -> None:
    """What a piper can still play as it was meant is none of them."""
    errors = {kind.label for kind in ProblemKind if kind.severity is Severity.ERROR}
    assert "brace-not-closed" in errors
    assert "note-outside-nine" in errors
    assert not errors & {"bang-line-end", "old-tempo", "unknown-field", "bar-too-long", "tie-detached", "no-bar-lines"}
