"""What is unsure in a take, and how it is decided."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from companion.listen.model.played import Sounded
from companion.notate.doubts import DoubtKind, commented, decided
from companion.notate.unsure import value_words
from fingering.notes import Note
from tests.companion.notate.playing import IN_COMMON_TIME, MARCH, take_of, tune_of, written

TUNE = tune_of(MARCH)


def with_noise(events: list[Sounded], at: int, note: Note, lasts_s: float) -> list[Sounded]:
    """The take with a short note before event `at`, which begins that much later."""
    later = replace(events[at], at_s=events[at].at_s + lasts_s)
    return [*events[:at], Sounded(events[at].at_s, note), later, *events[at + 1 :]]


def first_after(events: list[Sounded], before: Note, note: Note) -> int:
    """The rank of the first event of a note right after another."""
    return next(i for i in range(1, len(events)) if (events[i - 1].note, events[i].note) == (before, note))


def test_a_crossing_noise_is_left_out_and_told() -> None:
    """Low A between C and E, the lower hand first: common practice, no source. Where one of two
    repeats has it, the other one stands."""
    events = take_of(TUNE)
    noisy = with_noise(events, first_after(events, Note.C, Note.E), Note.LOW_A, 0.03)
    found = written(noisy, IN_COMMON_TIME)
    assert [note.gracenotes for note in found.tune.notes] == [note.gracenotes for note in TUNE.notes]


def test_repeats_that_differ_are_told_with_what_was_played_otherwise() -> None:
    """A gracenote that was left out once: the bar, the note, and the note without it."""
    events = take_of(TUNE)
    at = first_after(events, Note.LOW_A, Note.HIGH_G)
    found = written([*events[:at], replace(events[at + 1], at_s=events[at].at_s), *events[at + 2 :]], IN_COMMON_TIME)
    (doubt,) = [each for each in found.doubts if each.kind is DoubtKind.REPEAT]
    assert (doubt.bar, found.tune.notes[doubt.rank].note) == (1, Note.C)
    assert doubt.others[0][0].gracenotes == ()
    assert "bar 1, note 2" in doubt.words
    assert doubt.words.endswith("but also c dotted quaver")
    assert found.tune.tempo
    assert found.tune.tempo.beats_per_minute == 70


@pytest.mark.parametrize(
    ("length", "words"),
    [("1", "semibreve"), ("3/8", "dotted crotchet"), ("1/32", "demisemiquaver"), ("5/16", "5/2 quavers")],
)
def test_a_length_is_told_as_pipers_name_it(length: str, words: str) -> None:
    """What no note value has is counted in quavers."""
    assert value_words(Fraction(length)) == words


def test_a_slip_in_an_embellishment_is_written_as_what_was_meant() -> None:
    """{gfA}f for {gfg}f both times: the doubling, with what was played for the teacher to choose."""
    slipped = tune_of(MARCH.replace("{gfg}f2", "{gfA}f2"))
    found = written(take_of(slipped), IN_COMMON_TIME)
    (doubt,) = [each for each in found.doubts if each.kind is DoubtKind.EMBELLISHMENT]
    note = found.tune.notes[doubt.rank]
    assert note.gracenotes == (Note.HIGH_G, Note.F, Note.HIGH_G)
    assert doubt.others[0][0].gracenotes == (Note.HIGH_G, Note.F, Note.LOW_A)


def test_what_is_decided_is_written_and_the_rest_stays() -> None:
    """One key is one call; the tune is read anew."""
    found = written(take_of(tune_of(MARCH.replace("{gfg}f2", "{gfA}f2"))), IN_COMMON_TIME)
    (doubt,) = [each for each in found.doubts if each.kind is DoubtKind.EMBELLISHMENT]
    tune = decided(found.tune, doubt, 0)
    changed = [
        i for i, (one, other) in enumerate(zip(tune.notes, found.tune.notes, strict=True)) if one[1:4] != other[1:4]
    ]
    assert changed == [doubt.rank]
    assert tune.notes[doubt.rank].gracenotes == (Note.HIGH_G, Note.F, Note.LOW_A)


def test_comments_stand_above_the_lines_of_their_bars() -> None:
    """A reader of the ABC sees them where they are meant."""
    found = written(take_of(tune_of(MARCH.replace("{gfg}f2", "{gfA}f2"))), IN_COMMON_TIME)
    lines = commented(found.tune, found.doubts).splitlines()
    above = next(i for i, line in enumerate(lines) if line.startswith("% unsure: bar 2"))
    following = next(line for line in lines[above:] if not line.startswith("%"))
    assert "{gfg}f" in following
