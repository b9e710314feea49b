"""Whole takes written down: what was played is what is read."""

from __future__ import annotations

from fractions import Fraction

import pytest

from companion.listen.model.played import Sounded
from companion.notate.doubts import DoubtKind, commented
from companion.notate.notating import Given
from companion.score.abc.tunebook import read_abc_text
from companion.score.formats.abc_text.writer import abc_of
from companion.score.model import Meter, Tune
from fingering.errors import UserError
from fingering.notes import Note
from tests.companion.notate.playing import IN_COMMON_TIME, JIG, MARCH, played_by, take_of, tune_of, written
from tests.companion.score.formats.sameness import all_told, melody
from tests.learners.learner import Learner
from tests.learners.melodies import MelodyStyle, make_melody
from tests.learners.pieces import Music, pieces
from tests.learners.written_down import compared, form_of


def music_of(tune: Tune) -> list[tuple[object, ...]]:
    """Notes, lengths and gracenotes of each bar."""
    return [tuple(melody(note) for note in bar.notes) for bar in tune.bars]


@pytest.mark.parametrize(
    ("music", "meter", "tempo"),
    [
        (MARCH, "4/4", "1/4=70"),
        (JIG, "6/8", "3/8=80"),
        ("|: {g}AB | {Gdc}d3 e {a}f2 | {ag}a4 {fg}f2 | {gef}e3 d {gBd}B2 | {gAd}A4 :|", "3/4", "1/4=60"),
        ("|: {gBd}B2{g}dB {g}fB{g}dB | {GdGe}A2{g}c{d}A {g}e{d}A{g}c{d}A | {gfg}f2{g}df {ag}af{g}df | "
         "{gef}e2{g}ce {GdG}B4 :|", "C|", "1/2=75"),
    ],
)  # fmt: skip
def test_what_is_played_exactly_is_written_as_it_was(music: str, meter: str, tempo: str) -> None:
    """Notes, lengths, gracenotes, bars, repeats and tempo, with nothing given."""
    tune = tune_of(music, meter, tempo)
    found = written(take_of(tune)).tune
    assert music_of(found) == music_of(tune)
    assert found.order == tune.order
    assert found.meter.bar_length == tune.meter.bar_length
    assert tune.tempo is not None
    assert found.tempo is not None
    assert found.tempo.whole_notes_per_second == pytest.approx(tune.tempo.whole_notes_per_second, rel=0.02)


@pytest.mark.parametrize("rank", [2, 6])
@pytest.mark.same_everywhere
def test_our_tunes_are_written_down_from_unsteady_takes(rank: int) -> None:
    """Of each, 98 % of the lengths and 95 % of the embellishments, and its parts and repeats; 20 ms of jitter."""
    tune = pieces(Music.TUNES)[rank]
    learner = Learner(70.0, spread=0.025, drift=0.1, jitter_s=0.02)
    figures = compared(tune, written(played_by(learner, tune, rank)).tune)
    assert figures.right["lengths"] >= 0.98 * figures.of["lengths"]
    assert figures.right["embellishments"] >= 0.95 * figures.of["embellishments"]
    assert figures.right["metre"] == figures.right["parts and repeats"] == 1


@pytest.mark.parametrize("style", [MelodyStyle.STRATHSPEY])
@pytest.mark.same_everywhere
def test_made_up_tunes_are_written_down(style: MelodyStyle) -> None:
    """Cuts and triplets; the tempo wanders by 15 %."""
    tune = make_melody(500, style)
    learner = Learner(65.0, spread=0.02, drift=0.15, jitter_s=0.015)
    figures = compared(tune, written(played_by(learner, tune, 5)).tune)
    assert figures.right["lengths"] >= 0.98 * figures.of["lengths"]
    assert figures.right["embellishments"] >= 0.95 * figures.of["embellishments"]


def repointed(tune: Tune, ratio: Fraction) -> Tune:
    """The tune with its pairs of 3:1 in another ratio."""
    share = ratio / (1 + ratio)
    bars = []
    for bar in tune.bars:
        lengths = {Fraction(3, 16): share / 4, Fraction(1, 16): (1 - share) / 4}
        bars.append(
            bar._replace(
                notes=tuple(note._replace(duration=lengths.get(note.duration, note.duration)) for note in bar.notes)
            )
        )
    return Tune(**{name: getattr(tune, name) for name in Tune.__dataclass_fields__ if name != "bars"}, bars=tuple(bars))


@pytest.mark.parametrize("ratio", [Fraction(12, 5), Fraction(3), Fraction(23, 5)])
def test_dotted_pairs_are_meant_however_sharply_they_are_pointed(ratio: Fraction) -> None:
    """From 2.4:1 to 4.6:1 a pair is written as 3:1: common practice, no source."""
    tune = tune_of(MARCH)
    assert music_of(written(take_of(repointed(tune, ratio)), IN_COMMON_TIME).tune) == music_of(tune)


def test_even_pairs_stay_even() -> None:
    """Among dotted ones."""
    tune = tune_of(MARCH.replace("{g}c>e", "{g}ce"))
    assert music_of(written(take_of(tune), IN_COMMON_TIME).tune) == music_of(tune)


def test_endings_are_written_where_repeats_end_otherwise() -> None:
    """As first and second endings, which are played in their turn."""
    body = MARCH.replace("|: {g}c>{d}B | ", "|: ").removesuffix("{gcd}c2 {g}B>{d}A {gBd}B2 :|")
    tune = tune_of(f"{body}[1 {{gcd}}c2 {{g}}B>{{d}}A {{gBd}}B4 :|[2 {{gef}}e2 {{g}}f>{{d}}e {{gAd}}A4 ||")
    found = written(take_of(tune), IN_COMMON_TIME).tune
    assert [bar.signs.ending for bar in found.bars] == [(), (), (), (1,), (2,)]
    assert found.order == tune.order


def test_a_part_that_comes_back_is_written_once() -> None:
    """The header says the order, as it does of our slow air."""
    air = next(tune for tune in pieces(Music.TUNES) if tune.plan == "AABA")
    found = written(take_of(air), Given(air.meter)).tune
    assert found.plan == "AABA"
    assert form_of(found) == form_of(air)


def test_what_is_written_reads_as_the_same_tune() -> None:
    """With its comments, which change nothing."""
    tune = pieces(Music.TUNES)[0]
    learner = Learner(80.0, spread=0.03, drift=0.1, jitter_s=0.035)
    found = written(played_by(learner, tune, 3), IN_COMMON_TIME)
    again = read_abc_text(commented(found.tune, found.doubts))
    assert not again.problems
    assert all_told(again.tunes[0]) == all_told(found.tune)


def test_a_given_metre_is_believed() -> None:
    """The march is written in 2/4 then: the same notes, half as long."""
    tune = tune_of(MARCH, tempo="1/4=90")
    found = written(take_of(tune), Given(Meter(2, 4, "2/4"))).tune
    assert found.meter.text == "2/4"
    assert [note.duration * 2 for note in found.notes] == [note.duration for note in tune.notes]


@pytest.mark.same_everywhere
def test_a_given_tempo_is_believed() -> None:
    """At 90 crotchets a minute a march is taken for one in 4/4; what else it may be is told."""
    take = take_of(tune_of(MARCH, tempo="1/4=90"))
    assert written(take, Given(beats_per_minute=90.0)).tune.meter.text == "4/4"
    unsure = written(take).doubts
    assert [doubt.words for doubt in unsure if doubt.kind is DoubtKind.METRE] == [
        "the metre may be 2/4 with notes half as long"
    ]


def test_nothing_is_written_down_of_hardly_anything() -> None:
    """It is said what to do."""
    with pytest.raises(UserError, match="play a phrase at least"):
        written([Sounded(0.0, Note.B), Sounded(1.0, Note.C), Sounded(2.0, None)])


def test_writing_and_reading_again_changes_nothing() -> None:
    """What was written down once, played exactly, is written down the same."""
    first = written(take_of(tune_of(JIG, "6/8", "3/8=80"))).tune
    assert abc_of(written(take_of(first)).tune) == abc_of(first)
