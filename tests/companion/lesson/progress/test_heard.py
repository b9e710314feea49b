"""From a judged take to how each skill in it went."""

from __future__ import annotations

from collections.abc import Sequence

from companion.lesson.model.known import Skill, SkillHeard, SkillKind
from companion.lesson.progress.heard import played_take, skills_heard
from companion.listen.judgement import Judgement, judge
from companion.listen.model.findings import FindingKind
from companion.listen.model.played import Sounded
from companion.listen.model.terms import TakeTerms
from companion.schedule.stretch import Stretch
from fingering.notes import Note
from tests.companion.lesson.progress.playing import FIRST
from tests.companion.listen.playing import FOUR_BARS, asked_of, delayed, index_of, played_as, tune_of

MUSIC = FOUR_BARS
D_TO_E = Skill(SkillKind.CHANGE, "d>e")


def judged(events: Sequence[Sounded], terms: TakeTerms | None = None, music: str = MUSIC) -> Judgement:
    """The judgement on a take."""
    return judge(tune_of(music), events, terms=terms or TakeTerms())


def by_skill(judgement: Judgement) -> dict[Skill, SkillHeard]:
    """How each skill went."""
    return {each.skill: each for each in skills_heard(judgement)}


def test_a_faultless_take_is_clean_throughout() -> None:
    """As often as the tune asks for each; a G gracenote on D comes twice in these bars."""
    heard = by_skill(judged(played_as(asked_of(MUSIC))))
    assert all(each.clean == each.asked and each.uneven == 0 for each in heard.values())
    assert heard[Skill(SkillKind.EMBELLISHMENT, "g>d")].asked == 3
    assert any(not skill.is_embellishment for skill in heard)


def test_a_gracenote_left_out_is_one_time_that_was_not_clean() -> None:
    """The others of its sort are not touched by it."""
    events = played_as(asked_of(MUSIC))
    judgement = judged([each for rank, each in enumerate(events) if rank != 1])
    assert [each.kind for each in judgement.findings] == [FindingKind.MISSING_GRACENOTE]
    heard = by_skill(judgement)
    skill = Skill(SkillKind.EMBELLISHMENT, "g>B")
    assert heard[skill].clean == heard[skill].asked - 1
    others = [each for each in heard.values() if each.skill != skill]
    assert all(each.clean == each.asked for each in others)


def test_an_embellishment_left_out_between_two_equal_notes_was_asked_for() -> None:
    """They sound as one note then, of which the second never begins; "gAd" onto low A, once of two times."""
    asked = asked_of(MUSIC)
    names = [each and each.spelling for each in asked.schedule.embellishments]
    left_out = {index_of(asked, names.index("gAd"), grace) for grace in range(3)}
    judgement = judged([each for rank, each in enumerate(played_as(asked)) if rank not in left_out])
    assert [each.kind for each in judgement.findings] == [FindingKind.MISSING_GRACENOTE]
    assert not any(played == judgement.findings[0].played for played, _ in judgement.places)
    skill = Skill(SkillKind.EMBELLISHMENT, "gAd>A")
    assert by_skill(judgement)[skill] == SkillHeard(skill, 2, 1)


def test_where_all_gracenotes_are_slow_no_embellishment_is_clean() -> None:
    """That is found once, at the first of them, and holds of each; changes of note are what they were."""
    judgement = judged(played_as(asked_of(MUSIC), 3.0))
    assert [each.kind for each in judgement.findings if each.throughout] == [FindingKind.LONG_GRACENOTE]
    heard = by_skill(judgement)
    assert not any(each.clean for skill, each in heard.items() if skill.is_embellishment)
    assert all(each.clean == each.asked for skill, each in heard.items() if not skill.is_embellishment)
    asked_slowly = judged(played_as(asked_of(MUSIC), 3.0), TakeTerms(times_slower=3.0, gracenotes_slowed=3.0))
    assert all(each.clean == each.asked for each in by_skill(asked_slowly).values())


def test_a_crossing_noise_is_held_against_its_change() -> None:
    """Low A between D and E, once of two times."""
    asked = asked_of("A4 d4|e4 d4|e4 d4|A8|")
    events = played_as(asked)
    at_s = events[2].at_s
    noisy = [*events[:2], Sounded(at_s - 0.03, Note.LOW_A), *events[2:]]
    judgement = judged(noisy, music="A4 d4|e4 d4|e4 d4|A8|")
    assert [each.kind for each in judgement.findings] == [FindingKind.CROSSING]
    heard = by_skill(judgement)
    assert (heard[D_TO_E].asked, heard[D_TO_E].clean) == (2, 1)
    assert all(each.clean == each.asked for each in heard.values() if each.skill != D_TO_E)


def test_what_was_not_reached_counts_neither_way() -> None:
    """A take that ends after two bars."""
    events = played_as(asked_of(MUSIC))
    half = events[: len(events) // 2]
    whole, first = by_skill(judged(events)), by_skill(judged([*half, Sounded(half[-1].at_s + 0.5, None)]))
    assert sum(each.asked for each in first.values()) < 0.6 * sum(each.asked for each in whole.values())


def test_what_was_played_twice_counts_twice() -> None:
    """The take is begun again after its second bar."""
    events = played_as(asked_of(MUSIC))
    half = events[: len(events) // 2]
    later_s = half[-1].at_s + 2.0
    again = [*half, Sounded(half[-1].at_s + 0.5, None), *(Sounded(e.at_s + later_s, e.note) for e in events)]
    once, twice = by_skill(judged(events)), by_skill(judged(again))
    assert sum(each.asked for each in twice.values()) > 1.3 * sum(each.asked for each in once.values())


def test_a_stretch_asks_for_its_own_notes_only() -> None:
    """The change onto its first note is none of it."""
    asked = asked_of(MUSIC)
    stretch = Stretch(4, 8)
    first, stop = (next(e for e in asked.schedule.events if e.played == n).start_s for n in (4, 8))
    inside = [each for each in played_as(asked) if first - 0.2 <= each.at_s - 1.0 < stop - 0.1]
    heard = by_skill(judged([*inside, Sounded(1.0 + stop, None)], TakeTerms(stretch=stretch)))
    assert 0 < sum(each.asked for each in heard.values() if each.skill.is_embellishment) <= 4


def test_what_is_kept_of_a_take_is_the_verdicts_figures() -> None:
    """Tempo in beats as the tune counts them."""
    judgement = judged(delayed(played_as(asked_of(MUSIC)), 20, 0.4))
    kept = played_take(judgement, tune_of(MUSIC), "a.mid", FIRST)
    assert (kept.file, kept.began) == ("a.mid", FIRST)
    assert kept.tempo is not None
    assert 55.0 < kept.tempo < 65.0
    assert kept.notes == judgement.verdict.notes
    assert [each.kind for each in kept.findings] == [each.kind for each in judgement.findings]
