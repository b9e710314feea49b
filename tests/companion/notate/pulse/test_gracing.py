"""Which short notes are gracenotes."""

from __future__ import annotations

import pytest

from companion.notate.notating import Given
from companion.notate.pulse.approached import Approached
from companion.notate.pulse.grace_habits import SELDOM_FAMILIES, USUAL_GRACING, habits_of
from companion.notate.pulse.gracing import GraceReader, median_gracenote_s
from companion.notate.pulse.group_costs import group_cost, is_crossing, nearest_spelling
from companion.notate.pulse.sounds import SoundingNote, sounding_notes
from fingering.embellishments import Family
from fingering.notes import Note
from tests.companion.notate.playing import IN_COMMON_TIME, JIG, MARCH, played_by, take_of, tune_of, written
from tests.learners.learner import Learner


def notes_of(letters: str) -> tuple[Note, ...]:
    """The notes of ABC letters."""
    return tuple(map(Note.from_letter, letters))


@pytest.mark.parametrize("median_s", [0.03, 0.045, 0.08, 0.11])
def test_a_players_own_gracenote_is_found(median_s: float) -> None:
    """Within a quarter, whether quick or a beginner's."""
    tune = tune_of(MARCH, tempo="1/4=45")
    learner = Learner(45.0, gracenote_s=median_s if median_s > 0.06 else 0.04)
    heard = sounding_notes(played_by(learner, tune, 1))
    wanted = learner.gracenote_s
    assert median_gracenote_s(heard) == pytest.approx(wanted, rel=0.25)


def test_a_beginners_long_gracenotes_are_gracenotes() -> None:
    """Of 100 ms at 45 beats a minute, where semiquavers last 330 and leave no room for a taorluath before the next."""
    tune = tune_of(MARCH.replace("{GdGe}", "{g}"), tempo="1/4=45")
    found = written(played_by(Learner(45.0, gracenote_s=0.1), tune, 2), IN_COMMON_TIME).tune
    assert [note.gracenotes for note in found.notes] == [note.gracenotes for note in tune.notes]


def test_a_fast_players_short_notes_are_melody() -> None:
    """Semiquavers of 100 ms in a jig at 100 beats a minute, dotted."""
    tune = tune_of(JIG.replace("{Gdc}d{e}Bd", "{Gdc}d>{e}Bd"), "6/8", "3/8=100")
    found = written(take_of(tune), Given(tune.meter)).tune
    assert [note.duration for note in found.notes] == [note.duration for note in tune.notes]


def test_only_short_notes_and_never_the_last_may_be_gracenotes() -> None:
    """By the player's own median; the last note of a take leads onto none."""
    notes = [SoundingNote(Note.B, 0.0, 0.04), SoundingNote(Note.C, 0.04, 0.5), SoundingNote(Note.D, 0.5, 0.53)]
    gracing = GraceReader(notes, 0.04)
    assert [gracing.may_be_grace(i) for i in range(3)] == [True, False, False]


def reached(at: int, *, noise: bool = False, family: Family | None = None) -> Approached:
    """A note of melody that was reached over a noise, or over an embellishment of two gracenotes, or neither."""
    graces = (at - 2, at - 1) if family else ()
    return Approached(at - 3, at, graces, family, 0.0, noises=(at - 1,) if noise else ())


def test_a_clean_players_short_notes_are_hardly_ever_noises() -> None:
    """By what was read of the same take: none of a hundred, or a third of them."""
    clean = habits_of([reached(at) for at in range(100)])
    crossing = habits_of([reached(at, noise=at % 3 == 0) for at in range(100)])
    assert crossing.noise < USUAL_GRACING.noise < clean.noise


def test_what_a_player_plays_often_is_no_longer_seldom() -> None:
    """Shakes cost more than doublings, but not in a tune that is full of them. Common practice, no source."""
    assert Family.SHAKE in SELDOM_FAMILIES
    assert USUAL_GRACING.of_family(Family.SHAKE) > USUAL_GRACING.of_family(Family.DOUBLING) == 0.0
    learnt = habits_of([reached(at, family=Family.SHAKE) for at in range(40)])
    assert learnt.of_family(Family.SHAKE) == 0.0 < learnt.of_family(Family.DOUBLING)


def test_embellishments_that_have_a_name_are_likeliest() -> None:
    """A doubling before one with a slip before what has no name at all."""
    costs = [group_cost(notes_of(letters), Note.F, Note.E)[1] for letters in ("gfg", "gfA", "cAB")]
    assert costs == sorted(costs)
    assert len(set(costs)) == 3


@pytest.mark.parametrize(
    ("common", "rare", "onto", "before"),
    [("g", "f", "A", "B"), ("d", "c", "B", "A"), ("gBd", "Bd", "B", "d"), ("GdG", "dG", "e", "A")],
)
def test_rare_gracenotes_cost_more_than_common_ones(common: str, rare: str, onto: str, before: str) -> None:
    """An F gracenote, a half doubling where a whole one could be played, a grip without its first low G.

    Common practice, no source.
    """
    costs = [group_cost(notes_of(each), Note.from_letter(onto), Note.from_letter(before))[1] for each in (common, rare)]
    assert costs[0] + 0.9 < costs[1]


def test_a_half_doubling_is_usual_where_no_g_gracenote_is_to_be_had() -> None:
    """From high G and high A: common practice, no source."""
    half = [group_cost(notes_of("cd"), Note.C, before)[1] for before in (Note.HIGH_A, Note.HIGH_G, Note.D)]
    assert half[0] == half[1] < half[2]


@pytest.mark.parametrize(
    ("before", "passed", "onto"),
    [("d", "A", "e"), ("e", "A", "c"), ("a", "A", "e"), ("G", "A", "B")],
)
def test_what_crossing_fingers_sound_is_known(before: str, passed: str, onto: str) -> None:
    """Check values of common practice, no source: the notes that blip between two others."""
    assert is_crossing(Note.from_letter(before), Note.from_letter(passed), (), Note.from_letter(onto))


def test_a_g_gracenote_is_no_crossing_noise() -> None:
    """No finger above those of both notes moves: common practice, no source."""
    assert not is_crossing(Note.LOW_A, Note.HIGH_G, (), Note.B)


def test_two_gracenotes_at_least_are_shared_with_what_was_meant() -> None:
    """{Ag} onto C is no half doubling with a slip: it may be anything."""
    assert nearest_spelling(notes_of("gfA"), Note.F, Note.E) == notes_of("gfg")
    assert nearest_spelling(notes_of("Ag"), Note.C, Note.E) is None
