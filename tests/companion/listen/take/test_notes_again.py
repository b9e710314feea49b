"""One note begun again without a silence is told as that, and not as gracenotes too many."""

from __future__ import annotations

import pytest

from companion.listen.model.asked import Asked
from companion.listen.model.findings import Finding, FindingKind
from companion.listen.model.played import Sounded
from companion.listen.model.strictness import Strictness
from companion.listen.take.twice import hear_twice
from fingering.notes import Note
from tests.companion.listen.playing import asked_of, index_of, leapt, played_as, with_note

TUNE = asked_of("A2{g}B2c2{d}A2|e2{g}f2e2{gef}e2|c2{g}B2A2B2|{g}c2d2e2{gfg}f2|" * 3)
ATTEMPT_S = 0.7
"""How long the first attempt lasts: as long as most of a note of two quavers at 60 crotchets a minute."""


def in_the_end(take: list[Sounded]) -> list[Finding]:
    """What is found in a take of TUNE that is over."""
    return list(hear_twice(TUNE, take, Strictness.USUAL).findings)


def begun_again(asked: Asked, played: int, after_s: float = ATTEMPT_S) -> tuple[list[Sounded], float]:
    """A take that plays one note, gracenotes and all, for so long, and then once more; and when that is."""
    take, first = played_as(asked), index_of(asked, played, 0)
    later_s = take[index_of(asked, played)].at_s - take[first].at_s + after_s
    again = [Sounded(each.at_s + later_s, each.note) for each in take[first:]]
    return [*take[: index_of(asked, played) + 1], *again], again[0].at_s


@pytest.mark.parametrize("played", [9, 17, 25, 39])
def test_a_note_begun_again_with_its_gracenotes_is_told_as_that(played: int) -> None:
    """With one gracenote the next note is later by what the first attempt took; nothing else is said."""
    take, again_s = begun_again(TUNE, played)
    (found,) = in_the_end(take)
    assert (found.kind, found.played) == (FindingKind.RESTART, played)
    assert found.at_s == pytest.approx(again_s)


def test_several_gracenotes_show_it_by_themselves() -> None:
    """Though the next note comes when it is due: the first attempt was a short one."""
    asked_s = TUNE.schedule.note_onsets_s
    take, again_s = begun_again(TUNE, 15)
    due_s = played_as(TUNE)[index_of(TUNE, 16)].at_s
    after = len(played_as(TUNE)) - index_of(TUNE, 16)
    moved_s = take[-after].at_s - due_s
    on_time = [*take[:-after], *(Sounded(each.at_s - moved_s, each.note) for each in take[-after:])]
    assert asked_s[15] < asked_s[16]
    (found,) = in_the_end(on_time)
    assert found.kind is FindingKind.RESTART
    assert found.at_s == pytest.approx(again_s)


@pytest.mark.parametrize("played", [9, 15, 17, 31, 39])
def test_after_a_stop_it_is_told_once_and_the_stop_is_part_of_it(played: int) -> None:
    """Also where a gracenote sounds like the note itself, as E in the doubling on E."""
    take, again_s = begun_again(TUNE, played)
    silent = [each for each in take if each.at_s < again_s] + [Sounded(again_s - 0.001, None)]
    silent += [Sounded(each.at_s + 0.5, each.note) for each in take if each.at_s >= again_s]
    assert [(each.kind, each.played) for each in in_the_end(silent)] == [(FindingKind.RESTART, played)]


@pytest.mark.parametrize("played", [5, 9, 13, 17])
def test_two_notes_begun_again_are_told_as_that(played: int) -> None:
    """The second of them, cut short, is no note too many: the gracenotes of the first come again after it."""
    asked = asked_of("{g}A2B2{d}c2e2|{g}e2d2{g}f2e2|{d}A2c2{g}B2A2|" * 3)
    first = next(rank for rank, each in enumerate(asked.tokens) if asked.events(rank)[-1].played == played - 1)
    take = leapt(asked, first + 3, first)
    found = hear_twice(asked, take, Strictness.USUAL).findings
    assert [(each.kind, each.played) for each in found] == [(FindingKind.RESTART, played - 1)]


@pytest.mark.parametrize("played", [9, 17, 25])
def test_a_gracenote_more_on_a_note_that_keeps_its_time_is_one_too_many(played: int) -> None:
    """The same gracenote again in the middle of the note, and the next one when it is due."""
    onset_s = played_as(TUNE)[index_of(TUNE, played)].at_s
    take = with_note(played_as(TUNE), onset_s + 0.5, Note.HIGH_G, 0.05)
    assert [each.kind for each in in_the_end(take)] == [FindingKind.EXTRA_GRACENOTE]


def test_another_gracenote_is_one_too_many_however_late_the_next_note() -> None:
    """A note that was begun again is begun with its own."""
    take, again_s = begun_again(TUNE, 9)
    take = [Sounded(each.at_s, Note.E if each.at_s == again_s else each.note) for each in take]
    assert [each.kind for each in in_the_end(take)] == [FindingKind.EXTRA_GRACENOTE, FindingKind.LATE]


def played_twice(played: int, later_s: float) -> tuple[list[Sounded], float]:
    """A take in which a bare note, once it has lasted its time, is parted by a G gracenote and goes on;
    all that follows is so much later. And when that gracenote was."""
    take, after = played_as(TUNE), index_of(TUNE, played + 1)
    at_s = take[after].at_s
    parted = [Sounded(at_s, Note.HIGH_G), Sounded(at_s + 0.04, take[after - 1].note)]
    assert take[after - 1].note is not take[after].note
    return [*take[:after], *parted, *(Sounded(each.at_s + later_s, each.note) for each in take[after:])], at_s


@pytest.mark.parametrize("played", [26, 29])
def test_a_note_played_once_more_after_its_time_is_one_note_too_many(played: int) -> None:
    """And neither a gracenote too many nor the next note late."""
    take, at_s = played_twice(played, 1.0)
    (found,) = in_the_end(take)
    assert (found.kind, found.played) == (FindingKind.EXTRA_NOTE, played)
    assert found.at_s == pytest.approx(at_s)
    assert found.text.endswith("was played once more than is written.")


def test_a_gracenote_within_a_note_that_lasts_its_time_is_a_gracenote_too_many() -> None:
    """Nothing was late then, so that no note was played twice."""
    take = played_as(TUNE)
    at_s = take[index_of(TUNE, 26)].at_s + 0.5
    assert [each.kind for each in in_the_end(with_note(take, at_s, Note.HIGH_G, 0.04))] == [FindingKind.EXTRA_GRACENOTE]


def test_a_wrong_last_note_with_a_short_right_one_after_it_is_told_as_both() -> None:
    """Though nothing follows that was begun again."""
    last = len(TUNE.schedule.played) - 1
    take, own = played_as(TUNE), TUNE.played(last).note.note
    onset_s = take[-2].at_s
    assert take[-2].note is own
    found = in_the_end([*take[:-2], Sounded(onset_s, Note.LOW_A), Sounded(take[-1].at_s - 0.04, own), take[-1]])
    assert [(each.kind, each.played) for each in found] == [
        (FindingKind.WRONG_NOTE, last),
        (FindingKind.EXTRA_GRACENOTE, last),
    ]
