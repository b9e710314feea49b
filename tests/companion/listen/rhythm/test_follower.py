"""How far behind a rhythm is judged, and by whom."""

from __future__ import annotations

import pytest

from companion.listen.model.findings import FindingKind
from companion.listen.model.played import Sounded
from companion.listen.model.strictness import Strictness
from companion.listen.rhythm.beat_placement import SCHOOLS
from companion.listen.rhythm.follower import Follower, MelodyTimes
from companion.listen.rhythm.heard import BeatHeard, HeardUnit, kind_of
from companion.listen.rhythm.pointing import Pair
from companion.listen.rhythm.pulse import Pulse
from companion.listen.rhythm.rhythm import OnsetJudge
from fingering.embellishments import Family
from fingering.notes import Note
from tests.companion.listen.playing import asked_of, heard, index_of, played_as

EVEN = asked_of("A2B2c2d2|e2f2e2d2|c2B2A2B2|c2d2e2c2|" * 3)
LIMITS = Strictness.USUAL.limits


def unit(played: int, at_s: float, *, apart: bool = False) -> HeardUnit:
    """A note without gracenotes."""
    return HeardUnit(played, at_s, at_s, None, True, apart)


def judge(*, against_metronome: bool = False) -> OnsetJudge:
    """Of a tune in even crotchets of a second."""
    return OnsetJudge(EVEN, LIMITS, against_metronome=against_metronome)


def test_a_note_is_judged_once_three_have_followed_and_none_before_the_fifth() -> None:
    """The first five notes tell the tempo."""
    judged = []
    hearing = judge()
    for played in range(8):
        hearing.heard(unit(played, 1.0 + played))
        judged.append(len(hearing.moments))
    assert judged == [0, 0, 0, 0, 2, 3, 4, 5]
    hearing.cut()
    assert hearing.moments == [(played, 1.0 + played) for played in range(8)]


@pytest.mark.parametrize(("notes", "judged"), [(2, 0), (3, 3)])
def test_three_notes_are_enough_for_a_tempo_where_no_more_come(notes: int, judged: int) -> None:
    """Two are not."""
    hearing = judge()
    for played in range(notes):
        hearing.heard(unit(played, 1.0 + played))
    hearing.cut()
    assert len(hearing.moments) == judged


def test_what_follows_a_stop_is_judged_by_itself() -> None:
    """Ten seconds later, at the same tempo: nothing is late. A note that was is known as a hesitation."""
    hearing = judge()
    found = []
    for played in range(12):
        found += hearing.heard(unit(played, 1.0 + played))
    found += hearing.cut()
    for played in range(12, 24):
        late_s = 0.3 if played == 19 else 0.0
        found += hearing.heard(unit(played, 11.0 + played + late_s))
    found += hearing.cut()
    assert [(each.kind, each.played) for each in found] == [(FindingKind.LATE, 19)]
    assert hearing.hesitated(30.3, 30.3)
    assert not hearing.hesitated(29.0, 30.2)
    assert not hearing.hesitated(30.4, 40.0)


@pytest.mark.parametrize(("late_s", "told"), [(0.27, False), (0.36, True)])
def test_a_note_with_something_else_amiss_is_late_only_after_a_hesitation(late_s: float, told: bool) -> None:
    """A quarter of a second more than another one may be (a choice, no source)."""
    asked = asked_of("A2B2c2d2|e2f2e2d2|c2B2A2B2|c2d2{g}e2c2|" * 3)
    take = played_as(asked)
    gracenote = index_of(asked, 30, 0)
    take[gracenote] = Sounded(take[gracenote].at_s + late_s, Note.F)
    take[gracenote + 1] = Sounded(take[gracenote + 1].at_s + late_s, take[gracenote + 1].note)
    kinds = [each.kind for each in heard(asked, take)]
    assert FindingKind.WRONG_GRACENOTE in kinds
    assert (FindingKind.LATE in kinds) is told


def test_the_beat_of_a_note_is_never_outside_of_it_and_its_gracenotes() -> None:
    """What of it was nearest to a moment."""
    each = HeardUnit(0, 1.0, 1.2, kind_of(Family.DOUBLING), True, False)
    assert [each.nearest_s(due_s) for due_s in (0.5, 1.0, 1.1, 1.2, 1.9)] == [1.0, 1.0, 1.1, 1.2, 1.2]
    assert BeatHeard(0, 1.2, (1.0, 1.2), None, False).at_s == 1.0


def test_against_a_metronome_the_first_note_tells_the_phase() -> None:
    """All notes a second after its clicks: nothing is late; then one is."""
    hearing = judge(against_metronome=True)
    found = []
    for played in range(12):
        found += hearing.heard(unit(played, 2.0 + played + (0.2 if played == 8 else 0.0)))
    found += hearing.cut()
    assert [(each.kind, each.played) for each in found] == [(FindingKind.LATE, 8)]
    assert found[0].ms == pytest.approx(200.0)
    assert found[0].text == "Bar 3: C came 200 ms late against the metronome."


def test_what_a_way_of_hearing_told_badly_is_forgotten_by_and_by() -> None:
    """Sixty notes later a third of it is left (by hand: 59/60 to the sixtieth)."""
    places = MelodyTimes([float(rank) for rank in range(80)], [1.0] * 80, {})
    one, other = (Follower(places, LIMITS, SCHOOLS[0]) for _ in range(2))
    for follower in (one, other):
        follower.follow(Pulse(1.0))
    for rank in range(70):
        if rank == 9:
            other.surprise += 100.0
        for follower in (one, other):
            follower.hear(unit(rank, 1.0 + rank), ())
    assert other.surprise - one.surprise == pytest.approx(100.0 * (59.0 / 60.0) ** 61, abs=0.3)


def follower_of_pairs() -> tuple[Follower, MelodyTimes]:
    """Of a tune of dotted pairs, a second each."""
    at_s = [0.5 * rank + (0.25 if rank % 2 else 0.0) for rank in range(40)]
    lengths_s = [0.25 if rank % 2 else 0.75 for rank in range(40)]
    places = MelodyTimes(at_s, lengths_s, {rank: Pair(rank, 3.0) for rank in range(0, 40, 2)})
    follower = Follower(places, LIMITS, SCHOOLS[0])
    follower.follow(Pulse(1.0))
    return follower, places


def test_a_note_off_its_time_surprises_more_than_one_in_time() -> None:
    """By half the square of the standard deviations that it is off: which of two followers is believed goes by that."""
    surprises = []
    for off_s in (0.0, 0.01, 0.02):
        follower, places = follower_of_pairs()
        for played in range(0, 20, 2):
            follower.hear(unit(played, 1.0 + places.notes[played].place_s), ())
        follower.hear(unit(20, 1.0 + places.notes[20].place_s + off_s), ())
        surprises.append(follower.surprise)
    none, little, more = surprises
    assert more - none == pytest.approx(4.0 * (little - none))
    assert little > none


def test_the_second_note_of_a_pair_is_expected_by_habit() -> None:
    """Of one who points 4:1 it comes 50 ms later than written; the first one where it is written."""
    follower, places = follower_of_pairs()
    for rank in range(30):
        follower.hear(unit(rank, 1.0 + places.notes[rank].place_s + (0.05 if rank % 2 else 0.0)), ())
    second, first = follower.onset(unit(31, 0.0)), follower.onset(unit(32, 0.0))
    assert second.place_s == pytest.approx(places.notes[31].place_s + 0.05, abs=0.005)
    assert 0.005 < second.unsure_s < 0.02
    assert (first.place_s, first.unsure_s) == (places.notes[32].place_s, 0.0)
    assert (second.before_s, second.after_s) == (0.75, 0.25)
    assert follower.onset(unit(0, 0.0)).before_s == 0.75


def test_beats_heard_out_of_order_tell_nothing_of_a_habit() -> None:
    """A third beat taken to be before the second, as may be where embellishments are weighed: pairs stay as written."""
    follower, places = follower_of_pairs()
    for played, at_s in enumerate((1.0, 2.0, 1.9)):
        follower.hear(unit(played, at_s), ())
    assert follower.onset(unit(3, 0.0)).place_s == places.notes[3].place_s


def test_a_pair_is_known_once_the_note_after_it_was_heard() -> None:
    """Three notes in a row make a pair known; with one left out there is none."""
    follower, places = follower_of_pairs()
    known = []
    for rank in (0, 1, 2, 3, 5, 6, 8, 9, 10):
        follower.hear(unit(rank, 1.0 + places.notes[rank].place_s), ())
        known.append(follower.recent_pair())
    assert known == [None, None, Pair(0, 3.0), None, None, None, None, None, Pair(8, 3.0)]
    follower.cut()
    assert follower.recent_pair() is None
    follower.hear(unit(11, 20.0, apart=True), ())
    assert len(follower.recent) == 1


@pytest.mark.parametrize(("begins_s", "told"), [(0.07, []), (0.12, [FindingKind.LATE])])
def test_gracenotes_without_room_before_the_beat_make_a_note_late_and_no_finding(
    begins_s: float, told: list[FindingKind]
) -> None:
    """By one who plays taorluaths before the beat, 0.12 s late: where the note before was cut to 70 ms for it nobody
    could have been earlier; after one of 120 ms there was still room."""
    hearing, taorluath = judge(), kind_of(Family.TAORLUATH)
    found = []
    for played in range(30):
        due_s, lasts_s = 1.0 + 0.4 * played, 0.05 + 0.05 * (played % 3)
        crowded = HeardUnit(played, due_s - 0.4 + begins_s, due_s + 0.12, taorluath, plain=True, apart=False)
        usual = HeardUnit(played, due_s - lasts_s, due_s, taorluath, plain=True, apart=False)
        found += hearing.heard(crowded if played == 24 else usual)
    assert [each.kind for each in [*found, *hearing.cut()]] == told
