"""A tune on the staff: ties, tuplets, beams and identities."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings

from companion.score.abc import read_abc_text
from companion.score.model import Tune
from companion.score.staff.model import StaffBar, StaffBeam, StaffItem, StaffNote, StaffTuplet, notes_of
from companion.score.staff.spell import staff_of
from tests.companion.score.generated import tunes
from tests.companion.score.reading import tune_of

pytestmark = pytest.mark.same_everywhere

HEAD = "X:1\nT:Test\nM:{}\nL:1/8\nK:HP\n"


def staff(music: str, meter: str = "4/4") -> tuple[StaffBar, ...]:
    """The bars of a piece of music on the staff."""
    return staff_of(tune_of(HEAD.format(meter) + music))


def drawn(item: StaffItem) -> str:
    """An item in signs: [] around a beam, (3:2 ) around a tuplet, letter, value, dots, "-" for a tie."""
    if isinstance(item, StaffBeam):
        return "[" + " ".join(map(drawn, item.notes)) + "]"
    if isinstance(item, StaffTuplet):
        return f"({item.ratio.actual}:{item.ratio.normal} {' '.join(map(drawn, item.items))})"
    letter = "z" if item.note is None else item.note.letter
    return f"{letter}{item.value.base}{'.' * item.value.dots}{'-' * item.tied_on}"


def bars(music: str, meter: str = "4/4") -> list[str]:
    """Each bar's items in signs."""
    return [" ".join(map(drawn, bar.items)) for bar in staff(music, meter)]


@pytest.mark.parametrize(
    ("meter", "music", "expected"),
    [
        ("4/4", "ABcd efga", "[A8 B8] [c8 d8] [e8 f8] [g8 a8]"),
        ("C|", "ABcd efga", "[A8 B8 c8 d8] [e8 f8 g8 a8]"),
        ("2/4", "A>Bc2", "[A8. B16] c4"),
        ("6/8", "ABc def", "[A8 B8 c8] [d8 e8 f8]"),
        ("9/8", "A2B c2d e3", "A4 B8 c4 d8 e4."),
        ("3/4", "A/B/c de f2", "[A16 B16 c8] [d8 e8] f4"),
        ("5/8", "ABc de", "[A8 B8 c8] [d8 e8]"),
        ("2+3/8", "AB cde", "[A8 B8] [c8 d8 e8]"),
        ("3/8", "ABc", "[A8 B8 c8]"),
        ("4/4", "AzBc d4", "A8 z8 [B8 c8] d2"),
    ],
)
def test_beams_follow_the_pulse(meter: str, music: str, expected: str) -> None:
    """Notes with flags that stand on one pulse are under one beam; a rest parts it (common practice, no source)."""
    assert bars(music + "|", meter)[0] == expected


def test_a_pick_up_is_beamed_as_the_end_of_a_bar() -> None:
    """Three quavers before the first bar line of 4/4 are one and two, since they end a bar."""
    assert bars("ABc|d8|")[0] == "A8 [B8 c8]"


def test_a_bar_that_a_pick_up_completes_is_beamed_from_its_beginning() -> None:
    """The last bar before a repeat, short by the pick-up, is no pick-up itself."""
    staffs = staff("|:A|B2c2d2ef|g2f2e2d:|")
    assert [bar.pick_up for bar in staffs] == [True, False, False]
    assert drawn(staffs[2].items[-1]) == "d8"


def test_a_tie_over_a_bar_line() -> None:
    """A note tied over a bar line is one note of the tune and two on the staff, each in its bar."""
    assert bars("A4 B4-|B2 c2 d4|") == ["A2 B2-", "B4 c4 d2"]
    pieces = [note for bar in staff("A4 B4-|B2 c2 d4|") for note in bar.notes if note.source.rank == 1]
    assert [note.id for note in pieces] == ["n1", "n1-2"]
    assert [(note.tied_in, note.tied_on) for note in pieces] == [(False, True), (True, False)]


def test_a_tie_over_a_whole_bar() -> None:
    """A note held through a bar is one piece in each of three."""
    assert bars("A4 B4-|B8-|B2 c6|") == ["A2 B2-", "B1-", "B4 c2."]


def test_a_length_that_no_note_has_is_tied() -> None:
    """Five quavers are written as two notes, of which the first ends on a beat."""
    assert bars("A5 B3|")[0] == "A2- A8 B4."


def test_tuplets() -> None:
    """A triplet lasts two of its kind, whatever it is made of; its notes are beamed within it."""
    assert bars("(3ABc d2 (3A2B2c2|")[0] == "(3:2 [A8 B8 c8]) d4 (3:2 A4 B4 c4)"


def test_gracenotes_are_demisemiquavers() -> None:
    """Gracenotes are written as demisemiquavers, longer where the tune says so, with ids of their own."""
    note = staff("{gcd}c8|{g2d}c8|")[0].notes[0]
    assert [(grace.id, grace.value.base) for grace in note.graces] == [("g0-0", 32), ("g0-1", 32), ("g0-2", 32)]
    longer = staff("{gcd}c8|{g2d}c8|")[1].notes[0]
    assert [grace.value.base for grace in longer.graces] == [16, 32]


def joined(tune: Tune) -> list[tuple[int, Fraction]]:
    """Rank and length of each note, its pieces on the staff put together again."""
    whole: list[tuple[int, Fraction]] = []
    for bar in staff_of(tune):
        for note in bar.notes:
            rank = note.source.rank
            if whole and whole[-1][0] == rank:
                whole[-1] = rank, whole[-1][1] + note.length
            else:
                whole.append((rank, note.length))
    return whole


@given(tunes())
@settings(max_examples=60)
def test_nothing_is_lost_on_the_staff(abc: str) -> None:
    """Each note of a tune stands on the staff once, in order, with its length, and each bar is as long as it was."""
    (tune,) = read_abc_text(abc).tunes
    assert joined(tune) == [(note.rank, note.duration) for note in tune.notes]
    for bar in staff_of(tune):
        assert sum(note.length for note in bar.notes) == bar.bar.length
        assert [note.offset for note in bar.notes] == sorted(note.offset for note in bar.notes)


@given(tunes())
@settings(max_examples=40)
def test_ids_are_unique(abc: str) -> None:
    """No two notes, gracenotes or bars of a tune have one id."""
    (tune,) = read_abc_text(abc).tunes
    written = staff_of(tune)
    notes: list[StaffNote] = [note for bar in written for item in bar.items for note in notes_of(item)]
    ids = [bar.id for bar in written] + [note.id for note in notes]
    ids += [grace.id for note in notes for grace in note.graces]
    assert len(ids) == len(set(ids))
