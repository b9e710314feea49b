"""One thing to learn is one thing said: what a take shows all through, its tempo, and what is no fault at all."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise

import pytest

from companion.listen.judgement import Judgement, judge, judgement_to_data
from companion.listen.model.findings import FindingKind
from companion.listen.model.played import Sounded
from companion.listen.model.terms import TakeTerms
from companion.listen.report.text import share_words, verdict_text
from companion.listen.verdict.matter.sentences import said_of
from companion.listen.verdict.verdict import Share
from companion.schedule.build import build_schedule
from companion.schedule.timing import Timing
from fingering.notes import Note
from tests.companion.listen.playing import FOUR_BARS, asked_of, index_of, played_as, tune_of, with_note

LINES = "A2B2c2d2|e2f2e2d2|c2B2A2B2|c2d2e2c2|A2B2c2d2|e2c2A2c2|d2e2f2d2|c2B2A4|"
LONG = f"|:{LINES.removesuffix('|')}:|"


def warped(take: list[Sounded], time: Callable[[float], float]) -> list[Sounded]:
    """The take with each moment moved."""
    return [Sounded(time(event.at_s), event.note) for event in take]


def at_rate(take: list[Sounded], slower: Callable[[float], float]) -> list[Sounded]:
    """The take with what follows each moment so many times slower; the argument goes from 0 to 1 over the take."""
    now_s, whole_s = take[0].at_s, take[-1].at_s - take[0].at_s
    moments = [now_s]
    for before, after in pairwise(take):
        now_s += (after.at_s - before.at_s) * slower((before.at_s - take[0].at_s) / whole_s)
        moments.append(now_s)
    return [Sounded(at_s, event.note) for at_s, event in zip(moments, take, strict=True)]


def texts(judgement: Judgement) -> list[str]:
    """What is said of each thing to learn."""
    return [matter.text for matter in judgement.verdict.matters]


# --- all through a take ---


def bare(music: str, leave_out: Callable[[int], bool] = lambda count: True) -> Judgement:
    """A take without the groups of gracenotes of those sizes."""
    asked = asked_of(music)
    gone = {played for played, each in enumerate(asked.schedule.played) if leave_out(len(each.note.gracenotes))}
    onsets_s = asked.schedule.note_onsets_s
    events = [
        Sounded(1.0 + (onsets_s[event.played] if event.played in gone else event.start_s), event.note)
        for event in asked.schedule.events
        if event.grace is None or event.played not in gone
    ]
    return judge(tune_of(music), [*events, Sounded(1.0 + asked.schedule.duration_s, None)])


def test_no_gracenotes_is_one_thing_to_learn() -> None:
    """However many are missing; none of them counts as heard, and the findings are all kept."""
    judgement = bare(FOUR_BARS)
    (only,) = texts(judgement)
    assert only.startswith("No gracenotes were played")
    assert judgement.verdict.gracenotes.right == 0
    assert len(judgement_to_data(judgement)["findings"]) == judgement.verdict.first[0].count > 10


def test_a_family_that_is_never_played_is_one_thing_to_learn() -> None:
    """All doublings left out, the single gracenotes there."""
    judgement = bare(FOUR_BARS, lambda count: count > 1)
    (only,) = texts(judgement)
    assert only == "No doublings were played: all six were left out, in bars 2 to 4."


def test_slips_with_one_remedy_are_told_together() -> None:
    """Three wrong notes at three places."""
    asked = asked_of(LINES)
    take = played_as(asked)
    for played, note in ((5, Note.HIGH_A), (13, Note.LOW_G), (22, Note.HIGH_A)):
        rank = index_of(asked, played)
        take[rank] = Sounded(take[rank].at_s, note)
    (only,) = texts(judge(tune_of(LINES), take))
    assert only.endswith("Three notes in all were wrong or left out, in bars 2, 4 and 6.")


def test_what_goes_wrong_with_one_embellishment_is_told_together() -> None:
    """Once a gracenote is missing, once one is long."""
    music = "{gcd}c2d2e2d2|c2B2{gcd}c2B2|A2B2c2d2|e4A4|"
    asked = asked_of(music)
    take = played_as(asked)
    long, lost = index_of(asked, 0, 2) + 1, index_of(asked, 6, 0)
    take = [*take[:long], *warped(take[long : long + 1], lambda at_s: at_s + 0.1), *take[long + 1 :]]
    (only,) = texts(judge(tune_of(music), [*take[:lost], *take[lost + 1 :]]))
    assert only.endswith("The C doubling went wrong twice in all, in bars 1 and 2.")


# --- what comes first ---


def test_a_note_left_out_comes_before_a_noise_heard_once() -> None:
    """Both are single slips."""
    asked = asked_of(LINES)
    take = played_as(asked)
    gone = index_of(asked, 10)
    noisy = with_note(take, take[index_of(asked, 4)].at_s - 0.03, Note.LOW_A, 0.03)
    kept = [event for event in noisy if event != take[gone]]
    first, second = judge(tune_of(LINES), kept).verdict.matters
    assert (first.kind, second.kind) == (FindingKind.MISSING_NOTE, FindingKind.CROSSING)


def test_the_worst_stands_for_all() -> None:
    """Of noises of 20 and 40 ms the longer one is described."""
    music = "d2e2d2e2|c2B2A2B2|c2B2A4|"
    asked = asked_of(music)
    take = played_as(asked)
    at_s = [take[index_of(asked, played)].at_s for played in (1, 3)]
    take = with_note(with_note(take, at_s[0] - 0.02, Note.LOW_A, 0.02), at_s[1] - 0.04, Note.LOW_A, 0.04)
    found = judge(tune_of(music), take).findings
    assert len(found) == 2
    assert said_of(found).startswith("Bar 1: between D and E the upper ring finger was 40 ms late")
    assert said_of(found).endswith("Twice in all, in bar 1.")


# --- tempo ---


def test_another_tempo_than_the_metronomes_is_one_thing_to_learn() -> None:
    """Two in a hundred slower: late all through, and told as tempos."""
    judgement = judge(tune_of(LONG), played_as(asked_of(LONG), 1.02), terms=TakeTerms(metronome_bpm=60.0))
    assert len(judgement.findings) > 20
    assert texts(judgement) == ["The metronome kept 60, you played at 59 and fell behind it."]


def test_against_a_metronome_a_late_note_stands_out_of_a_slow_take() -> None:
    """It is late by the player's own pulse as well."""
    asked = asked_of(LONG)
    take = played_as(asked, 1.02)
    rank = index_of(asked, 37)
    take = [*take[:rank], Sounded(take[rank].at_s + 0.2, take[rank].note), *take[rank + 1 :]]
    said = texts(judge(tune_of(LONG), take, terms=TakeTerms(metronome_bpm=60.0)))
    assert len(said) == 2
    assert any("late against the metronome" in text for text in said)


def test_against_a_slow_metronome_late_notes_are_late() -> None:
    """Eight of 75 notes: whoever plays the others with the click is not behind it, slow gracenotes or not."""
    tune, timing = tune_of(FOUR_BARS * 3), Timing(slow_down=3.0)
    schedule = build_schedule(tune, timing)
    late = range(5, 75, 9)
    take = [Sounded(event.start_s + 0.22 * (event.played in late), event.note) for event in schedule.events]
    take.append(Sounded(schedule.duration_s, None))
    (only,) = texts(judge(tune, take, terms=TakeTerms.of(tune, timing, metronome=True)))
    assert only.startswith("You were late ")


@pytest.mark.parametrize("metronome_bpm", [None, 60.0])
def test_a_line_at_half_tempo_is_one_thing_to_learn(metronome_bpm: float | None) -> None:
    """With a metronome and without."""
    take = at_rate(played_as(asked_of(LONG)), lambda share: 2.0 if 0.3 < share < 0.55 else 1.0)
    (only,) = texts(judge(tune_of(LONG), take, terms=TakeTerms(metronome_bpm=metronome_bpm)))
    assert "you played at 30, elsewhere at 60." in only


def test_a_tempo_that_wanders_is_said() -> None:
    """By a fifth to either side, once in each third of the take; whatever that left off its time belongs to it."""
    take = at_rate(played_as(asked_of(LONG)), lambda share: 1.0 + 0.2 * math.sin(6.0 * math.pi * share))
    judgement = judge(tune_of(LONG), take)
    (only,) = texts(judgement)
    assert only.startswith("The tempo wandered: ")
    assert "The tempo was steady." not in judgement.verdict.went_well
    assert "Nothing to find fault with" not in verdict_text(judgement)


@pytest.mark.parametrize(("change", "word"), [(-0.2, "ran away"), (0.25, "dragged")])
def test_a_tempo_that_runs_away_or_drags_is_said(change: float, word: str) -> None:
    """By a fifth from beginning to end."""
    take = at_rate(played_as(asked_of(LONG)), lambda share: 1.0 + change * share)
    (only,) = texts(judge(tune_of(LONG), take))
    assert only.startswith(f"The tempo {word}: ")


def test_a_steady_take_has_nothing_to_mend() -> None:
    """Without a metronome its tempo is praised, with one that the learner stayed with it."""
    for metronome_bpm, said in ((None, "The tempo was steady."), (60.0, "You stayed with the metronome.")):
        verdict = judge(tune_of(LONG), played_as(asked_of(LONG)), terms=TakeTerms(metronome_bpm=metronome_bpm)).verdict
        assert verdict.matters == ()
        assert said in verdict.went_well


# --- what is no fault ---


@pytest.mark.parametrize("music", [LINES, LONG])
def test_playing_the_tune_twice_is_no_fault(music: str) -> None:
    """From its very end to its very beginning, repeats and all."""
    asked = asked_of(music)
    once = played_as(asked)
    again = warped(once, lambda at_s: at_s + asked.schedule.duration_s)
    judgement = judge(tune_of(music), [*once[:-1], *again])
    assert judgement.findings == ()
    assert judgement.verdict.matters == ()


def test_beginning_again_is_mended_where_it_was_stumbled() -> None:
    """Not where it was begun again."""
    asked = asked_of(LINES)
    take = played_as(asked)
    stop, third = index_of(asked, 18), index_of(asked, 8)
    back_s = take[stop].at_s - take[third].at_s
    again = warped(take[third:], lambda at_s: at_s + back_s)
    (only,) = judge(tune_of(LINES), [*take[:stop], *again]).verdict.matters
    assert only.text == "Bar 5: you began again from bar 3."
    assert only.drill.text.startswith("Play bars 4 to 6 at half speed")


def test_a_whole_take_leaves_nothing_unjudged() -> None:
    """One cut short in a repeat says from where, and which time; one that begins late, before what."""
    music = f"|:{FOUR_BARS.removesuffix('|')}:|"
    asked = asked_of(music)
    take = played_as(asked)
    last = len(asked.schedule.played) - 1
    again = index_of(asked, (last + 1) // 2)
    assert judge(tune_of(music), take).verdict.not_judged == ()
    assert judge(tune_of(music), take[: index_of(asked, last)]).verdict.not_judged == ()
    (cut,) = judge(tune_of(music), take[: again + 10]).verdict.not_judged
    assert cut == "From bar 2 the second time on: the take ends before it."
    second = index_of(asked_of(FOUR_BARS), 8, 0)
    (late,) = judge(tune_of(FOUR_BARS), played_as(asked_of(FOUR_BARS))[second:]).verdict.not_judged
    assert late == "What comes before bar 2: the take begins there."


# --- words ---


def test_shares_are_rounded_down() -> None:
    """Only all of them are 100 %."""
    assert share_words(Share(501, 503)) == "501 of 503 (99 %)"
    assert share_words(Share(503, 503)) == "503 of 503 (100 %)"


def test_the_second_time_through_is_named() -> None:
    """In a repeat a bar comes twice."""
    asked = asked_of(LONG)
    take = played_as(asked)
    rank = index_of(asked, len(asked.schedule.played) // 2 + 5)
    take[rank] = Sounded(take[rank].at_s, Note.HIGH_A)
    (only,) = texts(judge(tune_of(LONG), take))
    assert only.startswith("Bar 2, second time: ")


def test_a_stop_is_told_in_seconds() -> None:
    """1.1 s, not 1079 ms."""
    asked = asked_of(LINES)
    take = played_as(asked)
    rank = index_of(asked, 16)
    later = warped(take[rank:], lambda at_s: at_s + 1.079)
    (only,) = texts(judge(tune_of(LINES), [*take[:rank], Sounded(take[rank].at_s, None), *later]))
    assert only == "Bar 5: the sound stopped for 1.1 s."
