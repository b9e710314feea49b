"""When a note is due by a player's own pulse."""

from __future__ import annotations

import math
from random import Random
from statistics import mean

import pytest

from companion.listen.rhythm.pulse import Due, Onset, Pulse, first_ratio

STEP_S = 0.5


def onset(rank: int, at_s: float, step_s: float = STEP_S) -> Onset:
    """One of many notes of equal length."""
    return Onset(rank * step_s, step_s, step_s, at_s)


def follow(pulse: Pulse, onsets: list[Onset]) -> list[Due]:
    """When each note was due, from the second on, each judged once a few have followed, as a take is."""
    pulse.begin(onsets[0])
    dues = []
    for rank in range(1, len(onsets)):
        one, following = onsets[rank], onsets[rank + 1 : rank + 4]
        due = pulse.due(one, following)
        pulse.heard(one, due, following)
        pulse.learn_spread(one, due)
        dues.append(due)
    return dues


def ratios(pulse: Pulse, onsets: list[Onset]) -> list[float]:
    """The tempo as it is believed after each note, from the second on."""
    pulse.begin(onsets[0])
    found = []
    for rank in range(1, len(onsets)):
        due = pulse.due(onsets[rank], onsets[rank + 1 : rank + 4])
        pulse.heard(onsets[rank], due, onsets[rank + 1 : rank + 4])
        pulse.learn_spread(onsets[rank], due)
        found.append(pulse.ratio)
    return found


def played(*times_s: float) -> list[Onset]:
    """Notes of equal length that began at these times."""
    return [onset(rank, at_s) for rank, at_s in enumerate(times_s)]


def steady(notes: int, ratio: float = 1.0) -> list[Onset]:
    """Notes exactly on a pulse so many times slower than asked for."""
    return played(*(1.0 + ratio * STEP_S * rank for rank in range(notes)))


def test_the_second_note_is_due_by_the_first_and_the_tempo() -> None:
    """1.2 times slower than asked for."""
    pulse = Pulse(1.2)
    pulse.begin(onset(0, 1.0))
    assert pulse.due(onset(1, 9.9)).at_s == pytest.approx(1.0 + 1.2 * STEP_S)
    assert pulse.ratio == 1.2


def test_how_well_the_second_note_is_known() -> None:
    """By hand: the first note strayed by 2.5 % of an interval, the tempo may be off by 5 %, and the pulse itself
    strays by three tenths of what a note does. A stranger may stray twice as far as both."""
    pulse = Pulse(1.0)
    pulse.begin(onset(0, 1.0))
    due = pulse.due(onset(1, 1.5))
    note_s = 0.025 * STEP_S
    assert due.noise_s == pytest.approx(note_s)
    assert due.known_s == pytest.approx(math.hypot(note_s, 0.05 * STEP_S, 0.3 * note_s), rel=0.002)
    assert due.spread_s == pytest.approx(2.0 * math.hypot(due.known_s, due.noise_s))


def test_a_first_note_that_is_itself_unsure_tells_less() -> None:
    """Its own doubt adds to how well the next one is known."""
    pulse = Pulse(1.0)
    pulse.begin(Onset(0.0, STEP_S, STEP_S, 1.0, unsure_s=0.1))
    assert pulse.due(onset(1, 1.5)).known_s == pytest.approx(math.hypot(0.1, 0.025 * 0.5, 0.05 * 0.5), rel=0.01)


def test_a_pulse_is_settled_after_three_notes_and_runs_from_the_first() -> None:
    """A cut begins that anew, and keeps the tempo."""
    pulse = Pulse(1.1)
    assert not pulse.running
    for rank, now in enumerate((False, False, True, True)):
        if rank:
            pulse.heard(onset(rank, 1.0 + 0.55 * rank), pulse.due(onset(rank, 0.0)))
        else:
            pulse.begin(onset(0, 1.0))
        assert (pulse.running, pulse.settled) == (True, now)
    pulse.cut()
    assert (pulse.running, pulse.settled) == (False, False)
    assert pulse.ratio == pytest.approx(1.1)
    pulse.begin(onset(20, 40.0))
    assert pulse.due(onset(21, 0.0)).at_s == pytest.approx(40.55)


def test_of_a_steady_player_little_is_allowed_for() -> None:
    """Hardly a fiftieth of the interval is allowed for in the end; every note is due when it came."""
    onsets = steady(60)
    dues = follow(Pulse(1.0), onsets)
    assert [due.at_s for due in dues] == pytest.approx([each.at_s for each in onsets[1:]])
    assert dues[-1].spread_s < STEP_S / 45.0


def test_one_note_off_its_time_moves_nothing() -> None:
    """A fifth of a second late; it was due when it should have come, and so are all the others."""
    onsets = steady(40)
    onsets[20] = onset(20, onsets[20].at_s + 0.2)
    dues = follow(Pulse(1.0), onsets)
    assert [due.at_s for due in dues] == pytest.approx([each.at_s for each in steady(40)[1:]], abs=0.001)


def test_a_hesitation_moves_the_pulse_from_there_on() -> None:
    """All that follows is a fifth of a second later: the note is late, those after it are on time."""
    onsets = [*steady(20), *(onset(rank, 1.2 + STEP_S * rank) for rank in range(20, 40))]
    dues = follow(Pulse(1.0), onsets)
    late_s = [each.at_s - due.at_s for each, due in zip(onsets[1:], dues, strict=True)]
    assert late_s[19] == pytest.approx(0.2, abs=0.005)
    assert late_s[:19] + late_s[20:] == pytest.approx([0.0] * 38, abs=0.005)


def test_a_small_step_of_the_pulse_is_heard_where_it_was() -> None:
    """Among notes that stray by 12 ms all that follows is 120 ms later: the note that moved is late by nearly all of
    that, and the notes beside it are in time, on the average of some players."""
    late_s = []
    for player in range(12):
        random = Random(player)
        times_s = [1.0 + STEP_S * rank + random.gauss(0.12 * (rank >= 40), 0.012) for rank in range(60)]
        dues = follow(Pulse(1.0), played(*times_s))
        late_s.append([at_s - due.at_s for at_s, due in zip(times_s[1:], dues, strict=True)][38:42])
    before, moved, *after = (mean(each) for each in zip(*late_s, strict=True))
    assert moved == pytest.approx(0.12, abs=0.02)
    assert [before, *after] == pytest.approx([0.0] * 3, abs=0.02)


@pytest.mark.parametrize("change", [0.95, 1.05])
def test_another_tempo_is_followed_within_a_bar(change: float) -> None:
    """By a twentieth from one note to the next: those that follow show it at once, among notes that hardly stray."""
    turn_s = 1.0 + STEP_S * 29
    onsets = [*steady(30), *(onset(30 + rank, turn_s + change * STEP_S * (rank + 1)) for rank in range(20))]
    followed = [(ratio - 1.0) / (change - 1.0) for ratio in ratios(Pulse(1.0), onsets)]
    assert followed[28] == pytest.approx(0.0, abs=0.01)
    assert followed[29:31] == pytest.approx([1.0] * 2, abs=0.05)
    assert followed[37:40] == pytest.approx([1.0] * 3, abs=0.05)


def test_after_a_leap_a_note_mistaken_for_another_does_not_change_the_tempo() -> None:
    """The first note was taken for an earlier one of the tune, so that the next came too early by a whole note; of a
    player who strays by a twentieth."""
    pulse = Pulse(1.0)
    follow(pulse, played(*(1.0 + STEP_S * (rank + 0.05 * (-1) ** rank) for rank in range(16))))
    pulse.cut()
    places_s = (37.0, 38.0, 38.4, 39.0, 39.2, 39.6)
    times_s = (47.9, 48.4, 48.84, 49.4, 49.6, 50.03)
    lengths_s = (0.5, 0.4, 0.6, 0.2, 0.4, 0.4)
    again = [
        Onset(place_s, before_s, length_s, at_s)
        for place_s, at_s, before_s, length_s in zip(places_s, times_s, (0.5, *lengths_s), lengths_s, strict=False)
    ]
    for ratio in ratios(pulse, again):
        assert ratio == pytest.approx(1.0, abs=0.1)


def test_after_a_stop_another_tempo_is_followed_faster() -> None:
    """Of 6 %, more than half with the next note, most of it with the one after that."""
    pulse = Pulse(1.0)
    follow(pulse, steady(20))
    pulse.cut()
    one, two, *_ = (
        (ratio - 1.0) / 0.06 for ratio in ratios(pulse, [onset(rank, 50.0 + 1.06 * STEP_S * rank) for rank in range(8)])
    )
    assert 0.5 < one < 0.7
    assert 0.8 < two < 0.93


@pytest.mark.parametrize(("off_s", "moved_s"), [(0.010, 0.0028), (0.020, 0.0057), (0.030, 0.0)])
def test_a_little_late_moves_the_pulse_a_little_and_far_off_not_at_all(off_s: float, moved_s: float) -> None:
    """Among notes that hardly stray, three standard deviations are some 25 ms; below that, a quarter is believed."""
    onsets = steady(40)
    onsets[20] = onset(20, onsets[20].at_s + off_s)
    after = follow(Pulse(1.0), onsets)[20]
    before = follow(Pulse(1.0), steady(40))[20]
    assert after.at_s - before.at_s == pytest.approx(moved_s, abs=0.002)


@pytest.mark.parametrize(("deviations", "believed"), [(1.0, True), (2.7, True), (2.95, False), (6.0, False)])
def test_of_those_that_follow_one_nearly_three_deviations_off_is_not_believed(
    deviations: float, believed: bool
) -> None:
    """It moves what was due before it; further off it says nothing of that."""
    pulse = Pulse(1.0)
    follow(pulse, steady(40))
    before, after = onset(40, 21.0), onset(41, 21.5)
    known = pulse.due(after)
    off_s = deviations * math.hypot(known.known_s, known.noise_s)
    due = pulse.due(before, [onset(41, 21.5 + off_s)])
    assert (due.at_s - pulse.due(before).at_s > 0.05 * off_s) is believed


# --- the first tempo ---


def test_the_first_tempo_is_the_middle_of_all_slopes() -> None:
    """One note off its time does not spoil it; runs have nothing to do with each other."""
    assert first_ratio([steady(5, 1.3)]) == pytest.approx(1.3)
    onsets = steady(5, 1.3)
    onsets[2] = onset(2, onsets[2].at_s + 0.3)
    assert first_ratio([onsets]) == pytest.approx(1.3, abs=0.1)
    later = [onset(rank, 100.0 + 0.65 * rank) for rank in range(3)]
    assert first_ratio([steady(3, 1.3), later]) == pytest.approx(1.3)


def test_one_note_or_two_in_one_place_tell_no_tempo() -> None:
    """Neither do runs of one note each."""
    assert first_ratio([steady(1)]) is None
    assert first_ratio([[onset(3, 1.0), onset(3, 2.0)]]) is None
    assert first_ratio([steady(1), steady(1)]) is None
