"""The alignment: each heard note finds its place."""

from __future__ import annotations

import pytest

from companion.listen.align.aligner import Aligner
from companion.listen.align.reading.steps import Reading, ReadStep
from companion.listen.model.asked import Asked, ask
from companion.listen.model.played import Sounded
from companion.listen.model.segments import Segmenter
from companion.schedule.build import build_schedule
from companion.schedule.timing import Timing
from fingering.notes import Note
from tests.companion.listen.playing import FOUR_BARS, asked_of, index_of, leapt, played_as
from tests.learners.learner import Learner
from tests.learners.player import simulate
from tests.learners.tunes import make_tune

LEAD_IN = "c2a2{f}g2e2|{g}f2{g}c2{d}G2{g}f2|"


def steps_of(asked: Asked, events: list[Sounded]) -> list[ReadStep]:
    """How a whole take is read."""
    segmenter, aligner = Segmenter(), Aligner(asked)
    segments = [segment for event in events for segment in segmenter.feed(event)] + segmenter.finish()
    return [step for segment in segments for step in aligner.push(segment)] + aligner.finish()


def tokens_of(steps: list[ReadStep]) -> list[int]:
    """The tokens heard, in order."""
    return [token for step in steps for token in (*step.ran_on, *step.tokens)]


@pytest.mark.parametrize("ratio", [0.5, 1.0, 1.5])
def test_what_is_played_as_asked_is_read_as_asked(ratio: float) -> None:
    """At any tempo each token is heard once, in order, alone."""
    asked = asked_of(FOUR_BARS)
    steps = steps_of(asked, played_as(asked, ratio))
    assert [step.tokens for step in steps] == [(token,) for token in range(len(asked.tokens))]


def test_equal_notes_without_a_gracenote_are_one_token() -> None:
    """Nothing can part them on a chanter."""
    asked = asked_of("A2A2 B4|")
    assert [token.note for token in asked.tokens] == [Note.LOW_A, Note.B]


def test_a_missing_gracenote_merges_what_it_should_part() -> None:
    """Of three equal notes the held one stands for the two between which the gracenote is missing."""
    asked = asked_of("B2A2{g}A2{g}A2 {g}c4{g}d4|")
    lost = index_of(asked, 2, 0)
    events = [event for rank, event in enumerate(played_as(asked)) if rank != lost]
    steps = steps_of(asked, [event for event in events if event.at_s != asked.schedule.events[lost + 1].start_s + 1.0])
    assert lost not in tokens_of(steps)
    assert set(tokens_of(steps)) == set(range(len(asked.tokens))) - {lost}


def test_a_noise_is_an_extra_note_and_the_note_goes_on() -> None:
    """A gracenote of one's own within a long note leaves its place."""
    asked = asked_of("B4A4|c8|")
    events = [Sounded(0.0, Note.B), Sounded(2.0, Note.LOW_A), Sounded(3.0, Note.HIGH_G), Sounded(3.04, Note.LOW_A)]
    steps = steps_of(asked, [*events, Sounded(4.0, Note.C), Sounded(8.0, None)])
    assert [step.reading for step in steps] == [
        Reading.MATCH,
        Reading.MATCH,
        Reading.EXTRA,
        Reading.RESUME,
        Reading.MATCH,
    ]


def test_a_bar_begun_again_is_found_where_it_begins() -> None:
    """What is played twice is matched twice."""
    asked = asked_of(FOUR_BARS)
    third = asked.bar_starts[2]
    stop = third + 10
    heard = tokens_of(steps_of(asked, leapt(asked, stop, third)))
    assert heard == [*range(stop), *range(third, len(asked.tokens))]


def test_a_bar_skipped_is_leapt_over() -> None:
    """What follows it is matched where it belongs."""
    asked = asked_of(FOUR_BARS)
    events = played_as(asked)
    second, third = (asked.tokens[asked.bar_starts[bar]].first for bar in (1, 2))
    gone_s = events[third].at_s - events[second].at_s
    on = [Sounded(event.at_s - gone_s, event.note) for event in events[third:]]
    heard = tokens_of(steps_of(asked, [*events[:second], *on]))
    assert heard == [*range(second), *range(third, len(asked.tokens))]


def test_a_wrong_start_is_extra() -> None:
    """Noises before the first note do not move the rest."""
    asked = asked_of(FOUR_BARS)
    events = [Sounded(0.0, Note.HIGH_A), Sounded(0.06, Note.F), Sounded(0.1, None), *played_as(asked)]
    assert tokens_of(steps_of(asked, events)) == list(range(len(asked.tokens)))


def test_a_long_tune_is_followed_beyond_the_view() -> None:
    """A tune of many bars is read to its end, and begun again from its beginning late in it."""
    asked = asked_of(f"{LEAD_IN}\n" + f"{FOUR_BARS}\n" * 12)
    stop = len(asked.tokens) - 26
    heard = tokens_of(steps_of(asked, leapt(asked, stop, 0)))
    assert heard == [*range(stop), *range(len(asked.tokens))]


def test_nothing_heard_is_nothing_read() -> None:
    """An empty take has no steps."""
    assert Aligner(asked_of(FOUR_BARS)).finish() == []


def test_a_held_note_may_stand_for_five_equal_ones() -> None:
    """With the four gracenotes left out that should part them."""
    asked = asked_of("c2d2e2f2|A{g}A{g}A{g}A{g}A2e2|B2c2d2e2|")
    first, last = index_of(asked, 4), index_of(asked, 8)
    take = played_as(asked)
    steps = steps_of(asked, [*take[: first + 1], *take[last + 1 :]])
    equal = [rank for rank, token in enumerate(asked.tokens) if token.note is Note.LOW_A]
    assert len(equal) == 5
    assert set(equal) <= set(tokens_of(steps))


def test_who_is_lost_is_found_wherever_it_is() -> None:
    """Within twenty notes of the middle of a part 318 notes further on, where no one is likely to begin again."""
    asked = ask(build_schedule(make_tune(3, parts=4), Timing()))
    reached = 348
    assert min(abs(reached - start) for start in asked.far_starts) > 60
    heard = tokens_of(steps_of(asked, leapt(asked, 30, reached)))
    assert set(range(reached + 20, len(asked.tokens))) <= set(heard)


def test_who_leaves_out_gracenotes_throughout_is_not_lost() -> None:
    """However much that costs, the place in the tune is known: in repeats the second time is not the first."""
    tune = make_tune(8)
    asked = ask(build_schedule(tune, Timing()))
    tokens = tokens_of(steps_of(asked, list(simulate(tune, Learner(50.0, leaves_out=0.9), 8).notes)))
    assert tokens == sorted(tokens)
