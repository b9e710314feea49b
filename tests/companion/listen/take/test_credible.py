"""From where on a take is no performance of the tune. The limits are choices, tried on simulated learners."""

from __future__ import annotations

from dataclasses import replace

import pytest

from companion.listen.judgement import judge, setting_heard
from companion.listen.model.asked import ask
from companion.listen.model.played import Sounded
from companion.listen.model.strictness import Strictness
from companion.listen.model.tally import Tally
from companion.listen.take.credible import LEAST_IN_SETTING, LEAST_SHARE, check_events, check_heard, melody_share
from companion.listen.take.twice import read_take, tell_twice
from companion.schedule.build import build_schedule
from companion.schedule.timing import Timing
from companion.score.model import Tune
from companion.score.setting import Change, in_setting
from fingering.errors import UserError
from fingering.notes import Note
from tests.companion.listen.playing import asked_of, played_as, tune_of

TUNE = asked_of("A2{g}B2c2d2|e2f2e2d2|c2B2A2B2|")
SHORT = asked_of("A2B2c2|")
GOOD = Tally(notes=12, notes_right=12, heard_notes=13)


def refusal(tally: Tally) -> str:
    """What is said against a take of the tune, "" for nothing."""
    try:
        check_heard(TUNE, tally, "The tune", "take.mid")
    except UserError as error:
        return str(error)
    return ""


def test_the_share_of_the_melody_is_of_all_that_was_asked_or_played_beside() -> None:
    """Each note that was not asked for counts as one, each leap as four."""
    assert melody_share(Tally(notes=20, notes_right=15)) == 0.75
    assert melody_share(Tally(notes=20, notes_right=15, extras=5)) == 0.6
    assert melody_share(Tally(notes=20, notes_right=15, extras=2, leaps=2)) == 0.5
    assert melody_share(Tally()) == 0.0
    assert melody_share(Tally(notes=1, notes_right=1)) == 1.0


@pytest.mark.parametrize(("right", "fits"), [(54, False), (55, True)])
def test_more_than_half_of_the_melody_must_fit(right: int, fits: bool) -> None:
    """55 %; less is said with the share and the tune's title."""
    said = refusal(Tally(notes=100, notes_right=right, heard_notes=100))
    assert (said == "") is fits
    refused = "this does not sound like The tune (54 % of the melody fits), so it is not judged; choose the tune that"
    assert fits or refused in said
    assert "--low-a" not in said  # in a recording, which tells its own, it would change nothing


@pytest.mark.parametrize(("heard", "enough"), [(7, False), (8, True)])
def test_eight_notes_are_enough_to_judge(heard: int, enough: bool) -> None:
    """Seven are not."""
    said = refusal(replace(GOOD, heard_notes=heard))
    assert (said == "") is enough
    assert enough or "only 7 notes were played, too few to judge" in said


def test_of_a_shorter_tune_all_notes_are_enough() -> None:
    """Three of three; two are too few."""
    check_heard(SHORT, Tally(notes=3, notes_right=3, heard_notes=3), "The tune")
    with pytest.raises(UserError, match="only 2 notes were played"):
        check_heard(SHORT, Tally(notes=3, notes_right=3, heard_notes=2), "The tune")


def test_a_take_has_at_most_five_times_the_notes_and_eight() -> None:
    """Thirteen in the tune: 73 pass, 74 do not."""
    notes = [Sounded(0.5 * rank, Note.B if rank % 2 else Note.C) for rank in range(74)]
    check_events(TUNE, [*notes[:73], Sounded(40.0, None)])
    with pytest.raises(UserError, match="this take has 74 notes where the tune has 13, so it is not judged"):
        check_events(TUNE, [*notes, Sounded(40.0, None)])


def test_a_tune_of_one_note_may_be_played_on_one_note() -> None:
    """A take of another tune on one note is a stuck key."""
    one = [Sounded(0.0, Note.B), Sounded(1.0, None)]
    check_events(asked_of("B8|"), one)
    with pytest.raises(UserError, match="all of this take is one note, B"):
        check_events(TUNE, one)


MANY = "|:A2{g}B2{d}c2e2|{g}f2e2{g}c2d2|{Gdc}d2{g}e2f2{g}e2|{g}c2A2{gBd}B2A2:|"


def _beside(note: Note) -> Note:
    """Another note, one lower or, of low G, one higher."""
    notes = list(Note)
    return notes[abs(notes.index(note) - 1)]


def in_another_setting(every: int) -> tuple[Tune, list[Sounded]]:
    """A tune, and a take in which one note in so many is another, each time through."""
    tune = tune_of(MANY)
    notes = tune.notes[1::every]
    changes = tuple(Change(each.rank, each.note, _beside(each.note)) for each in notes if each.note is not None)
    return tune, played_as(ask(build_schedule(in_setting(tune, changes), Timing())))


def test_a_take_in_another_setting_is_no_other_tune() -> None:
    """Half of its notes are others, each time through: what comes back in the same places counts as right."""
    tune, events = in_another_setting(2)
    heard = tell_twice(read_take(ask(build_schedule(tune, Timing())), events), Strictness.USUAL)
    assert LEAST_IN_SETTING <= melody_share(heard.tally) < LEAST_SHARE
    assert setting_heard(judge(tune, events))


def test_what_comes_back_makes_no_tune_of_one_that_leaps_about_in_it() -> None:
    """Of a take of another tune too little fits, whatever comes back in it."""
    tune, _ = in_another_setting(2)
    other = tune_of("|:e2A2{g}e2a2|{g}e2d2{g}B2G2|{g}A2{d}A2f2a2|{g}e2B2G2d2:|")
    with pytest.raises(UserError, match="does not sound like"):
        judge(tune, played_as(ask(build_schedule(other, Timing()))))
