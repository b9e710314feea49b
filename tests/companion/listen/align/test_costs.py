"""Of two readings of a take, which one the ear takes: each cost is held by a take that is read otherwise without it.

Which of two is the likelier is a choice (see companion.listen.align.costs), no source.
"""

from __future__ import annotations

from companion.listen.model.findings import FindingKind
from companion.listen.model.played import Sounded
from fingering.notes import Note
from tests.companion.listen.playing import FOUR_BARS, asked_of, heard, index_of, kinds, leapt, played_as

DOUBLINGS = "A2B2c2d2|e2f2{gef}e2d2|c2{gBd}B2A2B2|c2d2e2c2|"


def test_a_long_foreign_note_among_gracenotes_is_an_extra_note() -> None:
    """D for 200 ms where an E doubling has E and F: a note of the learner's own, and the two left out; no wrong one."""
    asked = asked_of(DOUBLINGS)
    rank, take = index_of(asked, 6, 1), played_as(asked)
    late = [Sounded(event.at_s + 0.12, event.note) for event in take[rank + 2 :]]
    found = heard(asked, [*take[:rank], Sounded(take[rank].at_s, Note.D), *late])
    assert kinds(found) == [FindingKind.EXTRA_NOTE, FindingKind.MISSING_GRACENOTE]
    assert found[1].asked == "ef"


def test_who_goes_back_on_the_page_begins_again() -> None:
    """From the end of a part to its second bar: back to it, not on into the repeat, though that were nearer."""
    asked = asked_of(f"|:{FOUR_BARS[:-1]}:|")
    second, repeat = asked.bar_starts[1], asked.bar_starts[4]
    take = leapt(asked, repeat, second)[: 2 * asked.tokens[repeat].first - asked.tokens[second].first]
    (found,) = heard(asked, [*take, Sounded(take[-1].at_s + 1.0, None)])
    assert (found.kind, found.text) == (FindingKind.RESTART, "Bar 4: you began again from bar 2.")
