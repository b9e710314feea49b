"""Each kind of finding, on a tune short enough to see it."""

from __future__ import annotations

from dataclasses import replace

from companion.listen.find.listener import Listener, listen
from companion.listen.model.asked import ask
from companion.listen.model.findings import FindingKind, finding_to_data
from companion.listen.model.played import Fingered, Played, Sounded
from companion.listen.model.strictness import Strictness
from companion.listen.model.terms import TakeTerms
from fingering.chart import chart
from fingering.holes import Finger, HoleState
from fingering.notes import Note
from tests.companion.listen.playing import (
    FOUR_BARS,
    asked_of,
    heard,
    index_of,
    kinds,
    played_as,
    with_note,
)

PLAIN = "A2B2c2d2|e2f2e2d2|c2B2A2B2|c2d2e2c2|A2B2c2d2|e4A4|"


def at(asked_played: int, events: list[Sounded], asked_music: str = PLAIN) -> float:
    """When a played note begins in the take of that tune."""
    return events[index_of(asked_of(asked_music), asked_played)].at_s


def moved(events: list[Sounded], rank: int, by_s: float) -> list[Sounded]:
    """The take with one event at another time."""
    return [*events[:rank], Sounded(events[rank].at_s + by_s, events[rank].note), *events[rank + 1 :]]


def test_a_take_as_asked_has_no_finding() -> None:
    """Neither at the tune's tempo nor half as fast."""
    asked = asked_of(FOUR_BARS)
    assert heard(asked, played_as(asked)) == []
    assert heard(asked, played_as(asked, 2.0)) == []


def test_a_crossing_names_the_finger() -> None:
    """D to E with the lower hand closing first blips low A (common practice, no source)."""
    asked = asked_of(PLAIN)
    events = played_as(asked)
    e_at_s = at(4, events)
    (found,) = heard(asked, with_note(events, e_at_s - 0.04, Note.LOW_A, 0.04))
    data = finding_to_data(found)
    assert (data["kind"], data["from"], data["to"], data["heard"], data["sort"]) == (
        "crossing",
        "d",
        "e",
        "A",
        "lift/drop",
    )
    assert data["finger"] == "upper ring"
    assert found.crossing is not None
    unsure = replace(found, crossing=replace(found.crossing, certainty=0.876, finger_ms=30.26))
    assert finding_to_data(unsure)["certainty"] == 0.88
    assert finding_to_data(unsure)["finger_ms"] == 30.3
    assert abs(data["ms"] - 40.0) < 1.0
    assert abs(data["at_ms"] - 1000.0 * (e_at_s - 0.04)) < 5.0
    assert found.text == "Bar 2: between D and E the upper ring finger was 40 ms late; low A was heard."


def test_hole_sensors_tell_the_true_finger() -> None:
    """High A to E with the upper ring finger 30 ms late sounds low A (common practice, no source)."""
    asked = asked_of("c2d2e2d2|c2a2e2d2|c2d2e2f2|e4d4|")
    events: list[Played] = [
        Fingered(event.at_s, chart(event.note)) for event in played_as(asked) if event.note is not None
    ]
    rank = index_of(asked, 6)
    late = HoleState(chart(Note.E) | HoleState.of_closed([Finger.UPPER_RING]))
    events.insert(rank, Fingered(events[rank].at_s - 0.03, late))
    (found,) = heard(asked, [*events, Sounded(20.0, None)])
    assert found.crossing is not None
    assert found.crossing.finger is Finger.UPPER_RING
    assert abs(found.crossing.finger_ms - 30.0) < 1.0


def test_a_finger_that_is_late_under_a_gracenote_makes_a_crossing() -> None:
    """From E to C the fingers go under the G gracenote; the lower middle one comes after it, and B is heard (common
    practice, no source)."""
    asked = asked_of("c2d2e2d2|A2e2{g}c2d2|c2d2e2f2|e4d4|")
    events = played_as(asked)
    melody_s = events[index_of(asked, 6)].at_s
    (found,) = heard(asked, with_note(events, melody_s, Note.B, 0.04))
    assert found.crossing is not None
    assert (found.crossing.before, found.crossing.after, found.heard) == ("e", "c", "B")
    assert found.fingers == (Finger.LOWER_MIDDLE,)


def test_only_the_guilty_finger_is_named() -> None:
    """One that was 4 ms off beside one that was 40 ms late has no part in the noise."""
    asked = asked_of("c2d2e2d2|c2a2e2d2|c2d2e2f2|e4d4|")
    events: list[Played] = [
        Fingered(event.at_s, chart(event.note)) for event in played_as(asked) if event.note is not None
    ]
    rank = index_of(asked, 6)
    at_s = events[rank].at_s
    late = HoleState(chart(Note.E) | HoleState.of_closed([Finger.UPPER_RING]))
    hardly = HoleState(late ^ HoleState.of_closed([Finger.THUMB]))
    events.insert(rank, Fingered(at_s - 0.036, late))
    events.insert(rank, Fingered(at_s - 0.040, hardly))
    (found,) = heard(asked, [*events, Sounded(20.0, None)])
    assert found.fingers == (Finger.UPPER_RING,)


def test_a_missing_gracenote_is_told_with_its_place() -> None:
    """One of a doubling, or the only one."""
    asked = asked_of(FOUR_BARS)
    doubling = next(
        rank for rank, each in enumerate(asked.schedule.embellishments) if each and len(each.gracenotes) == 3
    )
    lost = index_of(asked, doubling, 0)
    (found,) = heard(asked, [event for rank, event in enumerate(played_as(asked)) if rank != lost])
    assert (found.kind, found.asked, found.bar) == (FindingKind.MISSING_GRACENOTE, "g", 2)
    assert "C doubling" in found.text


def test_a_missing_strike_between_equal_notes_is_missing() -> None:
    """The two notes sound as one, and the gracenote that should part them is what is missing."""
    asked = asked_of("c2d2e2f2|e2A2{g}A2B2|c2d2e2f2|e4d4|")
    rank = index_of(asked, 6, 0)
    events = played_as(asked)
    assert kinds(heard(asked, [*events[:rank], *events[rank + 2 :]])) == [FindingKind.MISSING_GRACENOTE]


def test_an_extra_gracenote_within_a_note() -> None:
    """A G gracenote of one's own."""
    asked = asked_of(PLAIN)
    events = played_as(asked)
    (found,) = heard(asked, with_note(events, at(4, events) + 0.4, Note.HIGH_G, 0.04))
    assert (found.kind, found.heard) == (FindingKind.EXTRA_GRACENOTE, "g")


def test_a_wrong_gracenote() -> None:
    """E for G."""
    asked = asked_of(FOUR_BARS)
    rank = index_of(asked, 1, 0)
    events = played_as(asked)
    events[rank] = Sounded(events[rank].at_s, Note.E)
    (found,) = heard(asked, events)
    assert (found.kind, found.asked, found.heard) == (FindingKind.WRONG_GRACENOTE, "g", "e")


def test_a_long_gracenote() -> None:
    """150 ms, where a good one is 25 to 60 (common practice, no source)."""
    asked = asked_of(FOUR_BARS)
    rank = index_of(asked, 3, 0)
    (found,) = heard(asked, moved(played_as(asked), rank + 1, 0.11))
    assert found.kind is FindingKind.LONG_GRACENOTE
    assert found.ms is not None
    assert abs(found.ms - 150.0) < 1.0


def test_an_uneven_doubling() -> None:
    """Gracenotes of 20, 70 and 30 ms."""
    asked = asked_of(FOUR_BARS)
    doubling = next(
        rank for rank, each in enumerate(asked.schedule.embellishments) if each and len(each.gracenotes) == 3
    )
    rank = index_of(asked, doubling, 1)
    events = moved(moved(played_as(asked), rank, -0.02), rank + 1, 0.01)
    assert kinds(heard(asked, events)) == [FindingKind.UNEVEN]


def test_a_missing_note_is_one_finding_with_its_gracenotes() -> None:
    """What led to it went with it."""
    asked = asked_of(FOUR_BARS)
    first, last = index_of(asked, 4), index_of(asked, 5)
    events = played_as(asked)
    (found,) = heard(asked, [*events[: first + 1], *events[last + 1 :]])
    assert (found.kind, found.asked) == (FindingKind.MISSING_NOTE, "f")


def test_a_wrong_note() -> None:
    """B for C."""
    asked = asked_of(PLAIN)
    rank = index_of(asked, 2)
    events = played_as(asked)
    events[rank] = Sounded(events[rank].at_s, Note.F)
    (found,) = heard(asked, events)
    assert (found.kind, found.asked, found.heard, found.bar) == (FindingKind.WRONG_NOTE, "c", "f", 1)


def test_an_extra_note_pushes_the_rest_and_nothing_else_is_said() -> None:
    """A note of 500 ms before bar 3, after which all is in time again."""
    asked = asked_of(PLAIN)
    events = played_as(asked)
    rank = index_of(asked, 8)
    pushed = [Sounded(event.at_s + 0.5, event.note) for event in events[rank:]]
    (found,) = heard(asked, [*events[:rank], Sounded(events[rank].at_s, Note.HIGH_A), *pushed])
    assert (found.kind, found.heard) == (FindingKind.EXTRA_NOTE, "a")


def test_early_and_late_against_ones_own_pulse() -> None:
    """A note 150 ms off among notes of a second each."""
    asked = asked_of(PLAIN)
    rank = index_of(asked, 14)
    for by_s, kind in ((0.15, FindingKind.LATE), (-0.15, FindingKind.EARLY)):
        (found,) = heard(asked, moved(played_as(asked), rank, by_s))
        assert found.kind is kind
        assert found.ms is not None
        assert abs(found.ms - 150.0) < 15.0


def test_a_slower_player_is_not_late_but_against_a_metronome() -> None:
    """Half as fast is a tempo; against a metronome it is behind."""
    asked = asked_of(PLAIN)
    events = played_as(asked, 1.2)
    assert heard(asked, events) == []
    against = listen(events, Listener(ask(asked.schedule, TakeTerms(metronome_bpm=60.0))))
    assert {finding.kind for finding in against} == {FindingKind.LATE}


def test_pointing_is_its_own_measure_against_a_metronome() -> None:
    """Who plays slower than the metronome may point well all the same."""
    asked = asked_of("c2d2e2f2|e>de>d c2e2|c2d2e2f2|e>dc>d e4|")
    against = listen(played_as(asked, 1.1), Listener(ask(asked.schedule, TakeTerms(metronome_bpm=60.0))))
    assert FindingKind.LATE in kinds(list(against))
    assert FindingKind.POINTING not in kinds(list(against))


def test_pointing_is_told_as_ratios() -> None:
    """A dotted pair played even."""
    asked = asked_of("c2d2e2f2|e>de>d c2e2|c2d2e2f2|e>dc>d e4|")
    rank = index_of(asked, 7)
    (found,) = heard(asked, moved(played_as(asked), rank, -0.25))
    assert (found.kind, found.asked, found.heard) == (FindingKind.POINTING, "3:1", "1:1")


def test_a_break_is_silence_inside_the_tune_but_not_a_rest() -> None:
    """600 ms of silence; the same where a rest is written is nothing."""
    asked = asked_of(PLAIN)
    events = played_as(asked)
    rank = index_of(asked, 8)
    later = [Sounded(event.at_s + 0.6, event.note) for event in events[rank:]]
    (found,) = heard(asked, [*events[:rank], Sounded(events[rank].at_s, None), *later])
    assert found.kind is FindingKind.BREAK
    assert found.ms is not None
    assert abs(found.ms - 600.0) < 1.0
    resting = asked_of("c2d2e2f2|e2d2z2d2|c2d2e2f2|e4d4|")
    events = [
        Sounded(e.at_s, None if each.kind.value == "rest" else e.note)
        for e, each in zip(played_as(resting), resting.schedule.events, strict=False)
    ]
    assert heard(resting, [*events, Sounded(30.0, None)]) == []


def test_beginning_again_is_one_finding() -> None:
    """What is played twice is not called extra."""
    asked = asked_of(FOUR_BARS)
    events = played_as(asked)
    third = asked.tokens[asked.bar_starts[2]].first
    stop = third + 10
    again = [Sounded(event.at_s + events[stop].at_s - events[third].at_s, event.note) for event in events[third:]]
    (found,) = heard(asked, [*events[:stop], *again])
    assert (found.kind, found.bar) == (FindingKind.RESTART, 3)


def test_a_bar_skipped_is_told_once() -> None:
    """Not note by note."""
    asked = asked_of(FOUR_BARS)
    events = played_as(asked)
    second, third = (asked.tokens[asked.bar_starts[bar]].first for bar in (1, 2))
    gone_s = events[third].at_s - events[second].at_s
    on = [Sounded(event.at_s - gone_s, event.note) for event in events[third:]]
    assert kinds(heard(asked, [*events[:second], *on])) == [FindingKind.MISSING_NOTE]


def test_a_strict_teacher_says_more() -> None:
    """A noise of 5 ms is told only by the strictest, one of 12 ms not by the easiest."""
    asked = asked_of(PLAIN)
    events = played_as(asked)
    told = {
        (lasts_ms, strictness): len(
            heard(
                asked, with_note(events, at(4, events) - lasts_ms / 1000.0, Note.LOW_A, lasts_ms / 1000.0), strictness
            )
        )
        for lasts_ms in (5, 12)
        for strictness in Strictness
    }
    assert [told[5, each] for each in (Strictness.EASY, Strictness.USUAL, Strictness.HARD)] == [0, 0, 1]
    assert [told[12, each] for each in (Strictness.EASY, Strictness.USUAL, Strictness.HARD)] == [0, 1, 1]
