"""ABC 2.1, rule by rule: what the ABC music standard (December 2011) asks of a reader, and what this one does."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

import pytest

from companion.score.abc import read_abc_text
from tests.companion.score.reading import HEAD, complaints, order, spell, tune_of, whole


@dataclass(frozen=True)
class Rule:
    """One rule: its section in the standard, what it says, a text, how to look at it, and what is to be seen."""

    section: str
    rule: str
    abc: str
    look: Callable[[str], Any]
    seen: Any

    def __str__(self) -> str:
        return f"ABC 2.1 section {self.section}: {self.rule}"


def quiet(abc: str) -> bool:
    """Whether there is nothing to complain of."""
    return complaints(abc) == []


def titles(abc: str) -> list[str]:
    """The titles of all tunes."""
    return [tune.title for tune in read_abc_text(abc).tunes]


def meters(abc: str) -> list[str]:
    """The metres of all tunes."""
    return [tune.meter.text for tune in read_abc_text(abc).tunes]


def unit(abc: str) -> Fraction:
    """The length of the first note."""
    return tune_of(abc).notes[0].duration


def tempo(field: str) -> tuple[Fraction, float, str] | None:
    """What a Q: field comes to, with L:1/8."""
    found = tune_of(f"X:1\nT:t\nL:1/8\nQ:{field}\nK:HP\nA|").tempo
    return (found.beat, found.beats_per_minute, found.text) if found else None


def severities(abc: str) -> list[str]:
    """The severities of all problems."""
    return [problem.severity.value for problem in read_abc_text(whole(abc)).problems]


def plan(text: str) -> str:
    """The order of parts A to D by a plan; each part is one bar, and starts with a note of its own."""
    body = "P:A\nA|\nP:B\nB|\nP:C\nc|\nP:D\nd|\n"
    return order(f"X:1\nT:t\nL:1/8\nP:{text}\nK:HP\n{body}").upper()


def title(text: str) -> str:
    """What a T: field comes to."""
    return tune_of(f"X:1\nT:{text}\nK:HP\nA|").title


def kept(letter: str) -> Callable[[str], list[str]]:
    """Looks at the fields of one letter that a tune keeps."""
    return lambda abc: [field.text for field in tune_of(abc).fields if field.key == letter]


def decorations(abc: str) -> list[tuple[str, ...]]:
    """The decorations of each note."""
    return [note.decorations for note in tune_of(abc).notes]


def marks(abc: str) -> list[tuple[str, tuple[str, ...]]]:
    """The chord name and annotations of each note."""
    return [(note.chord, note.annotations) for note in tune_of(abc).notes]


ONE = "X:1\nT:One\nM:6/8\nK:HP\nA3 B3|\n"
TWO = "X:2\nT:Two\nK:HP\nA3|\n"
E8 = Fraction(1, 8)

ROWS = (
    # Files and lines
    Rule("2.1", "a byte order mark is ignored", f"\ufeff{ONE}", titles, ["One"]),
    Rule("12", "under %abc-2.1 too, what is plainly meant is played", f"%abc-2.1\n{HEAD}A!B|", severities, ["warning"]),
    Rule("12", "as in a file without a version", f"{HEAD}A!B|", severities, ["warning"]),
    Rule("2.2", "an empty line ends a tune", f"{ONE}\n{TWO}", spell, "A3 B3"),
    Rule("2.2", "but music after it is not lost", f"{ONE}\nB6|\n\n{TWO}", spell, "A3 B3|B6"),
    Rule("2.2", "and that is said", f"{ONE}\nB6|\n\n{TWO}", severities, ["warning"]),
    Rule("2.2", "so does a line of blanks", f"{ONE} \t\n{TWO}", titles, ["One", "Two"]),
    Rule("2.2.2", "CRLF ends lines", (ONE + "\n" + TWO).replace("\n", "\r\n"), titles, ["One", "Two"]),
    Rule("2.2.2", "CR ends lines", (ONE + "\n" + TWO).replace("\n", "\r"), titles, ["One", "Two"]),
    Rule("2.2.3", "the file header gives defaults", f"M:4/4\n\n{ONE}\n{TWO}", meters, ["6/8", "4/4"]),
    Rule("2.2.3", "free text between tunes is ignored", f"{ONE}\nSome words.\n\n{TWO}", titles, ["One", "Two"]),
    Rule("2.2.5", "a comment goes to the end of its line", f"{HEAD}A % B c\nd|", spell, "A1 d1"),
    Rule("2.2.5", "a line of comment alone makes no empty line", f"{HEAD}A\n  % x\nd|", spell, "A1 d1"),
    Rule("2.2.5", "[r:] is a remark", "A [r:not B] c|", spell, "A1 c1"),
    # Continuation
    Rule("6.1.1", "a backslash continues music", "A B \\\nc|", spell, "A1 B1 c1"),
    Rule("6.1.1", "through fields, comments and directives", "A \\\nM:4/4\n% x\n%%y z\nB|", spell, "A1 B1"),
    Rule("3.3", "+: continues a string field with a blank", "X:1\nT:t\nN:one\n+:two\nK:HP\nA|", kept("N"), ["one two"]),
    Rule("3.3", "+: continues a plan", "X:1\nT:t\nL:1/8\nP:AB\n+:A\nK:HP\nP:A\nA|\nP:B\nB|", order, "ABA"),
    # Fields
    Rule("3", "X:, T: and K: in their places are right", HEAD + "A|", quiet, True),
    Rule("3", "an unknown field is passed over", HEAD.replace("M:", "J:x\nM:") + "A|", spell, "A1"),
    Rule("3", "all other fields are kept", HEAD.replace("M:", "Z:me\nM:") + "A|", kept("Z"), ["me"]),
    Rule("3.1.6", "no M: is a free metre", "X:1\nT:t\nL:1/8\nK:HP\nA9|A|", quiet, True),
    Rule("3.1.6", "M:C is 4/4", "X:1\nT:t\nM:C\nL:1/1\nK:HP\nA|", quiet, True),
    Rule("3.1.6", "M:C| is 2/2", "X:1\nT:t\nM:C|\nL:1/2\nK:HP\nAB|", quiet, True),
    Rule("3.1.6", "M:(2+3)/8 sums up", "X:1\nT:t\nM:(2+3)/8\nL:1/8\nK:HP\nA5|", quiet, True),
    Rule("3.1.7", "M:2/4 makes the unit 1/16", "X:1\nT:t\nM:2/4\nK:HP\nA8|", lambda abc: unit(abc) / 8, E8 / 2),
    Rule("3.1.7", "M:6/8 makes it 1/8", "X:1\nT:t\nM:6/8\nK:HP\nA6|", lambda abc: unit(abc) / 6, E8),
    Rule("3.1.7", "M:3/4 makes it 1/8", "X:1\nT:t\nM:3/4\nK:HP\nA6|", lambda abc: unit(abc) / 6, E8),
    Rule("3.1.7", "M:C makes it 1/8", "X:1\nT:t\nM:C\nK:HP\nA8|", lambda abc: unit(abc) / 8, E8),
    Rule("3.1.7", "M:C| makes it 1/8", "X:1\nT:t\nM:C|\nK:HP\nA8|", lambda abc: unit(abc) / 8, E8),
    Rule("3.1.7", "M:none makes it 1/8", "X:1\nT:t\nM:none\nK:HP\nA|", unit, E8),
    Rule("3.1.7", "a later M: leaves it", "X:1\nT:t\nM:6/8\nK:HP\nA6|\nM:2/4\nA4|", spell, "A6|A4"),
    Rule("3.1.8", "one beat", "1/4=120", tempo, (Fraction(1, 4), 120.0, "")),
    Rule("3.1.8", "up to four beats", "1/4 3/8 1/4 3/8=40", tempo, (Fraction(5, 4), 40.0, "")),
    Rule("3.1.8", "text before", '"Slow" 3/8=50', tempo, (Fraction(3, 8), 50.0, "Slow")),
    Rule("3.1.8", "text after", '1/4=60 "Slow"', tempo, (Fraction(1, 4), 60.0, "Slow")),
    Rule("3.1.8", "text alone sets no tempo", '"Slow"', tempo, None),
    Rule("10.1", "old Q:120 counts unit lengths", "120", tempo, (E8, 120.0, "")),
    Rule("10.1", "old Q:C=120 does too", "C=120", tempo, (E8, 120.0, "")),
    Rule("10.1", "old Q:C3=40 counts three of them", "C3=40", tempo, (3 * E8, 40.0, "")),
    Rule("3.1.9", "a plan names parts in order", "ABAC", plan, "ABAC"),
    Rule("3.1.9", "a count repeats a part", "AB3C", plan, "ABBBC"),
    Rule("3.1.9", "a count repeats a bracket", "(AB)2", plan, "ABAB"),
    Rule("3.1.9", "brackets nest, dots are ignored", "((AB)3.(CD)3)2", plan, 2 * (3 * "AB" + 3 * "CD")),
    Rule("3.1.14", "K:HP: bare c and f are the chanter's own", "cf|", spell, "c1 f1"),
    Rule("3.1.14", "so are ^c, ^f and =g", "^c^f=g|", spell, "c1 f1 g1"),
    Rule("3.1.14", "K:Hp: c and f are sharp", "X:1\nT:t\nL:1/8\nK:Hp\nGABcdefga|", spell, "G1 A1 B1 c1 d1 e1 f1 g1 a1"),
    Rule("3.1.14", "K:D has the same scale", "X:1\nT:t\nL:1/8\nK:D\nGABcdefga|", spell, "G1 A1 B1 c1 d1 e1 f1 g1 a1"),
    Rule("3.1.14", "modes have their signatures", "X:1\nT:t\nL:1/8\nK:A Mixolydian\nGcfg|", quiet, True),
    Rule("3.1.14", "K:Bm", "X:1\nT:t\nL:1/8\nK:Bm\ncfg|", quiet, True),
    Rule("3.1.14", "K:D exp adds to nothing", "X:1\nT:t\nL:1/8\nK:D exp ^f ^c\ncfg|", quiet, True),
    Rule("3.1.14", "clefs are passed over", "X:1\nT:t\nL:1/8\nK:HP clef=treble\ncf|", quiet, True),
    Rule("3.1.17", "unknown directives are ignored, %% or I:", f"{HEAD}%%foo 1\nI:foo 1\nA|", quiet, True),
    Rule("11", "text in %%begintext is no music", f"{ONE}%%begintext\nA|\n%%endtext\nB6|\n", spell, "A3 B3|B6"),
    Rule("3.2", "fields stand in the music", "A[L:1/4]A[M:3/4][K:D]c|", spell, "A1 A2 c2"),
    Rule("3.2", "even within a beam", "AB[r:x]cd|", spell, "A1 B1 c1 d1"),
    # Notes
    Rule("4.1", "octave marks combine", "c,',c', A,'' G,,'|", spell, "z1 c1 a1 z1"),
    Rule("4.2", "accidentals hold to the end of the bar", "X:1\nT:t\nL:1/8\nK:C\n^cc|^cc|", quiet, True),
    Rule("11.3", "and in every octave", "X:1\nT:t\nL:1/8\nK:Bb\n=BB|", spell, "B1 B1"),
    Rule("4.3", "lengths", "A A2 A/2 A/ A// A/4 A3/2 A3/|", spell, "A1 A2 A1/2 A1/2 A1/4 A1/4 A3/2 A3/2"),
    Rule("4.3", "down to 1/128", "A/16|", lambda abc: unit(abc), Fraction(1, 128)),
    Rule("4.4", "> is 3:1", "A>B|", spell, "A3/2 B1/2"),
    Rule("4.4", ">> is 7:1", "A>>B|", spell, "A7/4 B1/4"),
    Rule("4.4", ">>> is 15:1", "A>>>B|", spell, "A15/8 B1/8"),
    Rule("4.4", "< is its mirror", "A<B|", spell, "A1/2 B3/2"),
    Rule("4.4", "<< too", "A<<B|", spell, "A1/4 B7/4"),
    Rule("4.4", "<<< too", "A<<<B|", spell, "A1/8 B15/8"),
    Rule("4.4", "blanks may stand before it, loosely", "c\t>e c >e c`>`e|", spell, "c3/2 e1/2 c3/2 e1/2 c3/2 e1/2"),
    Rule("4.5", "rests", "z2 x A|Z2|", spell, "z2 z1 A1|z16"),
    Rule("4.7", "blanks and backquotes part only beams", " `A`B`` c d|", spell, "A1 B1 c1 d1"),
    Rule("6.1.2", "y is room on paper", "A y B y3 c|", spell, "A1 B1 c1"),
    # Repeats
    Rule("4.8", "|: and :|", "A|:B|c:|d|", order, "ABcBcd"),
    Rule("4.8", ":: ends one and begins another", "|:A::B:|", order, "AABB"),
    Rule("4.8", ":|: does", "|:A:|:B:|", order, "AABB"),
    Rule("4.8", ":||: does", "|:A:||:B:|", order, "AABB"),
    Rule("4.8", "|:: and ::| play three times", "|::A::|B|", order, "AAAB"),
    Rule("4.8", "no start: back to the beginning", "A|B:|c|", order, "ABABc"),
    Rule("4.8", "no start: back to the last repeat", "A:|B|c:|", order, "AABcBc"),
    Rule("4.8", "no start: back to the double bar", "A||B|c:|", order, "ABcBc"),
    Rule("4.8", "a start is believed over a double bar", "|:A||B:|", order, "ABAB"),
    Rule("4.8", "odd bar lines are tolerated", "A|||B[|]c|[|d.|e|]", order, "ABcde"),
    Rule("4.9", "|1 and :|2", "|:A|1B:|2c|]d|", order, "ABAcd"),
    Rule("4.9", "| [1 with a blank", "|:A| [1B:| [2c||", order, "ABAc"),
    Rule("4.9", "| 1 with a blank is not legal, but loosely meant", "|:A| 1B:|2c||", severities, ["warning"]),
    Rule("4.10", "lists", "|:A|[1,3B:|[2c:|d|", order, "ABAcABd"),
    Rule("4.10", "ranges", "|:A|[1-3B:|[4c|]", order, "ABABABAc"),
    Rule("4.10", "lists of ranges", "|:A|[1,3-4B:|[2,5c|]", order, "ABAcABABAc"),
    Rule("4.10", "an ending ends at ||", "|:A|1B:|2c||d:|", order, "ABAcdd"),
    Rule(
        "4.10",
        "a part of the plan takes its endings in turn",
        "X:1\nT:t\nL:1/8\nP:A4.B\nK:HP\nP:A\nA|[1B:|[2c:|[3d:|[4e|]\nP:B\nf|]",
        order,
        "ABAcAdAef",
    ),
    Rule("4.11", "a tie joins equal notes", "A2-A2 B|", spell, "A4 B1"),
    Rule("4.11", "over bar lines too, into the first bar", "A2-|A2-|A2 B|", spell, "A6||B1"),
    Rule("4.11", "a slur joins none", "(A2A2) (B(c)d)|", spell, "A2 A2 B1 c1 d1"),
    Rule("4.11", "c4 -c4 is not legal, but loosely meant", "c4 -c4|", severities, ["warning"]),
    Rule("4.12", "gracenotes take no time", "{gcd}c2|", spell, "{gcd}c2"),
    Rule("4.12", "{/g} is an acciaccatura", "{/g}c|", lambda abc: tune_of(abc).notes[0].acciaccatura, True),
    Rule("4.12", "{g} is none", "{g}c|", lambda abc: tune_of(abc).notes[0].acciaccatura, False),
    Rule(
        "4.12",
        "lengths within braces",
        "{g2d/}c|",
        lambda abc: list(tune_of(abc).notes[0].grace_lengths),
        [2, Fraction(1, 2)],
    ),
    Rule("4.12", "A<{g}A", "A<{g}A|", spell, "A1/2 {g}A3/2"),
    Rule("4.12", "A{g}<A is the same", "A{g}<A|", spell, "A1/2 {g}A3/2"),
    # Tuplets
    Rule("4.13", "(2 is in the time of 3", "(2AB|", spell, "A3/2 B3/2"),
    Rule("4.13", "(3 in the time of 2", "(3ABc|", spell, "A2/3 B2/3 c2/3"),
    Rule("4.13", "(4 in the time of 3", "(4ABcd|", spell, "A3/4 B3/4 c3/4 d3/4"),
    Rule("4.13", "(6 in the time of 2", "(6ABcdef|", spell, "A1/3 B1/3 c1/3 d1/3 e1/3 f1/3"),
    Rule("4.13", "(8 in the time of 3", "(8ABcdefga|", spell, " ".join(f"{x}3/8" for x in "ABcdefga")),
    Rule("4.13", "(5 in the time of 2", "(5ABcde|", spell, " ".join(f"{x}2/5" for x in "ABcde")),
    Rule(
        "4.13", "(5 in the time of 3 in 6/8", "[M:6/8](5ABcdeA3|", spell, " ".join(f"{x}3/5" for x in "ABcde") + " A3"
    ),
    Rule("4.13", "(7 as well", "(7ABcdefg|", spell, " ".join(f"{x}2/7" for x in "ABcdefg")),
    Rule("4.13", "(9 as well", "(9ABcdefgaa|", spell, " ".join(f"{x}2/9" for x in "ABcdefgaa")),
    Rule("4.13", "(p:q:r", "(3:2:4ABcd e|", spell, "A2/3 B2/3 c2/3 d2/3 e1"),
    Rule("4.13", "(p:q leaves r = p", "(3:4ABc d|", spell, "A4/3 B4/3 c4/3 d1"),
    Rule("4.13", "(3::2 is (3:2:2", "(3::2AB c|", spell, "A2/3 B2/3 c1"),
    Rule("4.13", "(3:: is (3", "(3::ABc|", spell, "A2/3 B2/3 c2/3"),
    Rule("4.13", "a blank after it is ignored", "(3 ABc|", spell, "A2/3 B2/3 c2/3"),
    Rule("4.13", "gracenotes do not count", "(3{g}AB{d}c d|", spell, "{g}A2/3 B2/3 {d}c2/3 d1"),
    Rule("4.17", "of several notes at once the highest is played", "[Ac]2 [e2G2] [ce]>f|", spell, "c2 e2 e3/2 f1/2"),
    # Decorations
    Rule("4.14", "decorations are kept", "!trill!A +fermata+B|", decorations, [("trill",), ("fermata",)]),
    Rule("4.14", "unknown ones too, and nothing is said", "!wriggle!A|", quiet, True),
    Rule("4.14", "shorthands", ".A ~B Hc Td|", decorations, [("staccato",), ("roll",), ("fermata",), ("trill",)]),
    Rule("4.16", "U: defines one", "X:1\nT:t\nU:h = !wriggle!\nK:HP\nhA|", decorations, [("wriggle",)]),
    Rule("4.16", "!nil! clears one", "X:1\nT:t\nU:T = !nil!\nK:HP\nTA|", decorations, [()]),
    Rule("4.15", "s: lines are no music", f"{HEAD}A {{g}}B z|\ns:!p! * |\n", spell, "A1 {g}B1 z1"),
    Rule("4.18", "chord names", '"Am"A "D"B c|', marks, [("Am", ()), ("D", ()), ("", ())]),
    Rule(
        "4.19",
        "annotations are never chords",
        '"^up"A "_down"B "<l"c ">r"d "@1,2 at"e|',
        marks,
        [("", ("^up",)), ("", ("_down",)), ("", ("<l",)), ("", (">r",)), ("", ("@1,2 at",))],
    ),
    Rule("4.20", "the order of a note's parts", '{g}"Am"!trill!^c,\'3/2|', spell, "{g}c3/2"),
    Rule("5.1", "w: lines are no music", f"{HEAD}A2-A2 {{g}}B|\nw:la_ * la-la|~\\-\nc|", spell, "A4 {g}B1|c1"),
    Rule("5.2", "W: neither", f"{HEAD}A|\nW:A word|\nB|", spell, "A1|B1"),
    # Characters
    Rule("8.1", "# * ; ? @ are ignored in music", "A#B*c;d?e@f|", spell, "A1 B1 c1 d1 e1 f1"),
    Rule("8.1", "without a word", "A#B*c;d?e@f|", quiet, True),
    Rule("8.2", "escaped signs", r"100\% \& \\", title, "100% & \\"),
    Rule("8.2", "mnemonics", r"caf\'e \`a \^o \~n \"u \,c \/o \ae \ss \AA \vc", title, "café à ô ñ ü ç ø æ ß Å č"),
    Rule("8.2", "code points", r"\u00e9\U0001D11E", title, "é𝄞"),
    Rule("8.2", "code points that do not print", r"\u001b[31m\u009b\u202e", title, "<1B>[31m<9B><202E>"),
    Rule("8.2", "blanks of other sorts", "a\u00a0b\tc", title, "a b c"),
    Rule("8.2", "entities", "&eacute; &copy; &nosuch;", title, "é © &nosuch;"),
    # Old forms
    Rule("12.2", "! alone breaks a line, loosely", "A!B|", severities, ["warning"]),
    Rule("12.2", "! with another before a bar line is a decoration", "A!trill!B|", decorations, [(), ("trill",)]),
    Rule("12.2", "! does not reach over a bar line", "A!B|c!d|", spell, "A1 B1|c1 d1"),
    Rule("3", "a missing title is taken loosely", "X:1\nK:HP\nA|", severities, ["warning"]),
    Rule("3", "so is a missing number", "T:t\nK:HP\nA|", severities, ["warning"]),
)


@pytest.mark.parametrize("row", ROWS, ids=str)
def test_rule(row: Rule) -> None:
    """The text is read as the section says."""
    assert row.look(row.abc) == row.seen
