"""What counts as another setting of a tune, and what is a slip (common practice of teachers, no source)."""

from __future__ import annotations

from collections.abc import Sequence

from companion.listen.judgement import Judgement, judge, setting_heard
from companion.listen.model.asked import ask
from companion.listen.model.findings import FindingKind
from companion.listen.model.played import Sounded
from companion.schedule.build import build_schedule
from companion.schedule.timing import Timing
from companion.score.model import Tune
from companion.score.setting import Change, in_setting
from fingering.notes import Note
from tests.companion.listen.playing import index_of, played_as, tune_of

TWICE = "|:A2{g}B2{d}c2e2|{g}f2e2{g}c2d2|{Gdc}d2{g}e2f2{g}e2|{g}c2A2{gBd}B2A2:|"
ALIKE = "A2{g}B2{d}c2e2|{g}f2e2{g}c2d2|A2{g}B2{d}c2e2|{Gdc}d2f2{g}e2c2|A2{g}B2{d}c2e2|{g}c2A2{gBd}B2A2|"


def change(tune: Tune, rank: int, note: Note | None, gracenotes: str | None = None, added: str = "") -> Change:
    """A change of one written note; its own gracenotes unless others are told."""
    written = tune.notes[rank]
    assert written.note is not None
    graces = written.gracenotes if gracenotes is None else tuple(map(Note.from_letter, gracenotes))
    return Change(rank, written.note, note, () if note is None else graces, tuple(map(Note.from_letter, added)))


def take_of(tune: Tune) -> list[Sounded]:
    """A take of exactly that."""
    return played_as(ask(build_schedule(tune, Timing())))


def judged(music: str, *setting: Change) -> Judgement:
    """The judgement on a take in that setting, by the tune as it is written."""
    tune = tune_of(music)
    return judge(tune, take_of(in_setting(tune, setting)))


def asks(judgement: Judgement) -> list[str]:
    """What is asked about another setting."""
    return [each.text for each in judgement.verdict.matters if each.setting]


def once_wrong(tune: Tune, played: int, heard: Note) -> list[Sounded]:
    """A take with one slip."""
    asked = ask(build_schedule(tune, Timing()))
    events = played_as(asked)
    rank = index_of(asked, played)
    return [*events[:rank], Sounded(events[rank].at_s, heard), *events[rank + 1 :]]


def test_another_note_each_time_through_is_one_matter_and_can_be_said_to_be_right() -> None:
    """It is asked about once, with its count, and judged as written once it was said."""
    tune = tune_of(TWICE)
    said = (change(tune, 6, Note.B),)
    heard = judged(TWICE, *said)
    assert asks(heard) == ["In bar 2 you play B where this setting has C, both times: another setting?"]
    assert [each.kind for each in heard.verdict.matters] == [FindingKind.WRONG_NOTE]
    assert setting_heard(heard) == said
    again = judge(tune, take_of(in_setting(tune, said)), setting=said)
    assert again.findings == ()
    assert again.verdict.notes.right == again.verdict.notes.of


def test_bars_that_are_written_alike_are_one_place() -> None:
    """Bars 1, 3 and 5, each of which comes once."""
    tune = tune_of(ALIKE)
    said = tuple(change(tune, rank, Note.F) for rank in (2, 10, 18))
    heard = judged(ALIKE, *said)
    assert asks(heard) == ["In bars 1, 3 and 5 you play F where this setting has C, all three times: another setting?"]
    assert setting_heard(heard) == said


def test_one_of_three_like_bars_is_no_setting() -> None:
    """One bar changed of three that are written alike is a slip, and two of three are slips too."""
    tune = tune_of(ALIKE)
    assert not asks(judged(ALIKE, change(tune, 2, Note.F)))
    assert not asks(judged(ALIKE, change(tune, 2, Note.F), change(tune, 10, Note.F)))


def test_a_slip_in_one_of_two_times_is_no_setting() -> None:
    """A note changed in one of the two times through is told as a wrong note."""
    heard = judge(tune := tune_of(TWICE), once_wrong(tune, 6, Note.B))
    assert not asks(heard)
    assert [each.kind for each in heard.findings] == [FindingKind.WRONG_NOTE]


def test_a_note_left_out_each_time_is_another_setting() -> None:
    """The note before lasts on in its place."""
    tune = tune_of(TWICE)
    said = (change(tune, 3, None),)
    heard = judged(TWICE, *said)
    assert asks(heard) == ["In bar 1 you leave out E, both times: another setting?"]
    assert judge(tune, take_of(in_setting(tune, said)), setting=said).findings == ()


def test_a_note_added_each_time_is_another_setting() -> None:
    """In the time of the note before it."""
    tune = tune_of(TWICE)
    said = (change(tune, 5, Note.E, added="d"),)
    heard = judged(TWICE, *said)
    assert asks(heard) == ["In bar 2 you add D before E, both times: another setting?"]
    again = judge(tune, take_of(in_setting(tune, said)), setting=setting_heard(heard))
    assert again.findings == ()


def test_another_embellishment_each_time_is_another_setting() -> None:
    """A heavy throw for a throw; a D gracenote for a G gracenote."""
    tune = tune_of(TWICE)
    said = (change(tune, 1, Note.B, "d"), change(tune, 8, Note.D, "GdGc"))
    heard = judged(TWICE, *said)
    assert setting_heard(heard) == said
    assert asks(heard) == [
        "In bar 1 you play the D gracenote where this setting has the G gracenote on B and in bar 3 you play the heavy "
        "throw on D where this setting has the throw on D, all four times: another setting?"
    ]
    assert judge(tune, take_of(in_setting(tune, said)), setting=said).findings == ()


def test_an_embellishment_that_lacks_a_gracenote_each_time_is_a_habit_to_mend() -> None:
    """A half doubling for a doubling, or none at all, is simpler, and no other setting."""
    tune = tune_of(TWICE)
    assert not asks(judged(TWICE, change(tune, 14, Note.B, "Bd")))
    assert not asks(judged(TWICE, change(tune, 1, Note.B, "")))


def test_where_slips_are_many_what_fell_alike_by_chance_is_none() -> None:
    """One place twice alike among a dozen slips in 32 notes."""
    tune = tune_of(TWICE)
    asked = ask(build_schedule(tune, Timing()))
    events = played_as(asked)
    slips: Sequence[tuple[int, Note]] = (
        (3, Note.F), (6, Note.B), (22, Note.B), (0, Note.B), (5, Note.D), (9, Note.D), (11, Note.D), (18, Note.D),
        (20, Note.E), (25, Note.F), (28, Note.D), (31, Note.B), (14, Note.C), (23, Note.E),
    )  # fmt: skip
    for played, note in slips:
        rank = index_of(asked, played)
        events[rank] = Sounded(events[rank].at_s, note)
    heard = judge(tune, events)
    assert len(heard.findings) >= len(slips) - 2
    assert not asks(heard)


def test_a_gracenote_held_for_its_note_each_time_is_a_finger_that_stays_away() -> None:
    """Where {g}c is written and g is played each time, that is a habit to mend and no setting."""
    tune = tune_of(TWICE)
    heard = judged(TWICE, change(tune, 6, Note.HIGH_G, ""))
    assert len(heard.findings) >= 2
    assert not asks(heard)


def test_a_note_left_out_with_its_time_is_no_setting() -> None:
    """The bar is too short then."""
    tune = tune_of(TWICE)
    asked = ask(build_schedule(tune, Timing()))
    events = played_as(asked)
    for played in (19, 3):
        rank = index_of(asked, played)
        lost_s = events[rank + 1].at_s - events[rank].at_s
        events[rank:] = [Sounded(each.at_s - lost_s, each.note) for each in events[rank + 1 :]]
    heard = judge(tune, events)
    assert [each.kind for each in heard.findings if each.kind is FindingKind.MISSING_NOTE]
    assert not asks(heard)


def test_another_note_with_its_own_doubling_is_another_setting() -> None:
    """A D doubling for a B doubling, whose last gracenote is that D."""
    tune = tune_of(TWICE)
    said = (change(tune, 14, Note.D, "gde"),)
    assert setting_heard(judged(TWICE, *said)) == said
