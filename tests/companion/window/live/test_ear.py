"""The ear beside a running tune: the same findings as afterwards, told when the learner chose."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from companion.listen.judgement import judge
from companion.listen.model.findings import Finding, FindingKind
from companion.listen.model.played import Played, Sounded
from companion.listen.model.strictness import Strictness
from companion.midi.maps.keys import KEYS_MAP
from companion.midi.maps.note_map import DEFAULT_MAP
from companion.midi.takes.reading import Take, read_take
from companion.schedule.build import build_schedule
from companion.schedule.events import Schedule
from companion.schedule.spans import phrase_starts_s
from companion.schedule.timing import Gracing, Timing
from companion.score.model import Tune
from companion.window.core.display import Display, Print
from companion.window.core.marks import Arrow, Frame, Role
from companion.window.core.theme import THEMES, Theme
from companion.window.lanes.finding_marks import lit_marks
from companion.window.lanes.played_in import Light, PlayedIn
from companion.window.lanes.told import MOST_LINES, EarSettings, Feedback, Told
from companion.window.live.ear import LiveEar
from companion.window.live.tune_run import TuneRun
from companion.window.play.play_state import first_state
from companion.window.play.play_view import PlayView
from companion.window.takes.asked_tune import asked_of
from companion.window.takes.review import review
from fingering.holes import Finger
from tests.companion.window import scenes
from tests.companion.window.lettered import lettering_for
from tests.companion.window.players import write_take
from tests.referees import require_module

SIZE = (1280, 720)
FRAME_S = 1.0 / 60.0


@pytest.fixture(scope="module")
def tune() -> Tune:
    """The tune of these tests."""
    return scenes.tune()


@pytest.fixture(scope="module")
def schedule(tune: Tune) -> Schedule:
    """At its own tempo."""
    return build_schedule(tune, Timing())


@pytest.fixture(scope="module")
def events(tune: Tune, schedule: Schedule, tmp_path_factory: pytest.TempPathFactory) -> tuple[Played, ...]:
    """Played finger by finger, each finger up to 60 ms late."""
    return read_take(write_take(tmp_path_factory.mktemp("takes"), tune, schedule, Timing(), KEYS_MAP)).performance


def play(
    ear: LiveEar,
    tune: Tune,
    events: tuple[Played, ...],
    until_s: float,
    timing: Timing | None = None,
    *,
    metronome: bool = False,
) -> None:
    """A run of the tune from its start, frame by frame, up to a moment."""
    ear.begin(TuneRun(tune, timing or Timing(), 0.0, 0.0, metronome))
    waiting = [event for event in events if event.at_s <= until_s]
    for frame in range(1, int(until_s / FRAME_S) + 1):
        while waiting and waiting[0].at_s <= frame * FRAME_S:
            ear.hear(waiting.pop(0))
        ear.pass_time(frame * FRAME_S)


def told(ear: LiveEar, tune: Tune, schedule: Schedule, now_s: float) -> Told:
    """What is to be read at a moment."""
    return ear.told(tune, Timing(), schedule, now_s)


def test_what_is_found_live_is_what_is_found_afterwards(
    tune: Tune, schedule: Schedule, events: tuple[Played, ...]
) -> None:
    """Hearing a running tune finds what judging the take of it finds."""
    ear = LiveEar()
    play(ear, tune, events, schedule.duration_s + 2.0)
    ear.end()
    ear.wait()
    assert found(ear, tune, schedule) == list(judge(tune, events).findings)


def found(ear: LiveEar, tune: Tune, schedule: Schedule, timing: Timing | None = None) -> list[Finding]:
    """What is marked once a run in that timing is over, in order of time."""
    marked = ear.told(tune, timing or Timing(), schedule, 0.0).marked
    return sorted(marked, key=lambda each: (each.at_s, each.kind.value))


def kept(tune: Tune, timing: Timing, folder: Path, *, metronome: bool) -> Take:
    """A take of the tune in that timing, played just as it was asked, by notes."""
    take = read_take(write_take(folder, tune, build_schedule(tune, timing), timing, DEFAULT_MAP))
    return replace(take, heading=replace(take.heading, metronome=metronome))


@pytest.mark.parametrize("gracing", Gracing)
@pytest.mark.parametrize("metronome", [False, True])
def test_what_is_played_as_it_is_shown_is_never_blamed(
    tune: Tune, tmp_path: Path, gracing: Gracing, metronome: bool
) -> None:
    """Three times slower, gracenotes too or not, with a metronome or without: not live, and not in review."""
    timing = Timing(slow_down=3.0, gracing=gracing)
    take = kept(tune, timing, tmp_path, metronome=metronome)
    ear = LiveEar()
    play(ear, tune, take.performance, take.end_s, timing, metronome=metronome)
    ear.end()
    ear.wait()
    assert ear.told(tune, timing, build_schedule(tune, timing), 0.0) == Told()
    asked = asked_of(take, (tune,))
    assert asked is not None
    assert review(take, asked, Strictness.USUAL).findings == ()


def test_with_a_metronome_lateness_is_against_its_clicks(tune: Tune, tmp_path: Path) -> None:
    """Steadily one part in fifty slower than its slowed clicks: found with it, live as in review, and not without."""
    timing = Timing(beats_per_minute=72.0, slow_down=2.0)
    for metronome in (False, True):
        take = kept(tune, timing, tmp_path, metronome=metronome)
        drifted = tuple(replace(each, at_s=each.at_s * 1.02) for each in take.events)
        take = replace(take, events=drifted, end_s=take.end_s * 1.02)
        ear = LiveEar()
        play(ear, tune, take.performance, take.end_s, timing, metronome=metronome)
        ear.end()
        ear.wait()
        asked = asked_of(take, (tune,))
        assert asked is not None
        live = found(ear, tune, asked.schedule, timing)
        assert live == list(review(take, asked, Strictness.USUAL).findings)
        late = [each for each in live if each.kind is FindingKind.LATE]
        assert bool(late) == metronome
        assert all("the metronome" in each.text for each in late)


def test_the_last_note_held_to_the_end_is_heard(tune: Tune, tmp_path: Path) -> None:
    """Fingers that stay down when the take ends have played the last note all the same."""
    timing = Timing()
    take = read_take(write_take(tmp_path, tune, build_schedule(tune, timing), timing, KEYS_MAP))
    asked = asked_of(take, (tune,))
    assert asked is not None
    assert not isinstance(take.events[-1], Sounded)
    reviewed = review(take, asked, Strictness.USUAL)
    assert reviewed.verdict is not None
    assert reviewed.heard is not None
    assert not any("the take ends there" in each for each in reviewed.verdict.not_judged)
    last = reviewed.heard.schedule.events[-1]
    assert last.played == len(asked.schedule.played) - 1
    assert last.end_s == pytest.approx(take.end_s, abs=0.3)


def test_nothing_is_told_before_a_phrase_is_over(tune: Tune, schedule: Schedule, events: tuple[Played, ...]) -> None:
    """Then what is most urgent of it is, in a few words, and its own findings are marked, no others."""
    first_s, second_s, third_s = phrase_starts_s(tune, schedule)[:3]
    ear = LiveEar()
    play(ear, tune, events, (first_s + second_s) / 2)
    assert told(ear, tune, schedule, (first_s + second_s) / 2) == Told()
    ear = LiveEar()
    now_s = (second_s + third_s) / 2
    play(ear, tune, events, now_s)
    heard = told(ear, tune, schedule, now_s)
    assert heard.lines == ()
    assert heard.brief is not None
    assert heard.brief.place == "bar 1"
    assert heard.marked
    assert all(first_s <= schedule.note_onsets_s[each.played] < second_s for each in heard.marked)


def test_told_at_the_end_is_told_at_the_end(tune: Tune, schedule: Schedule, events: tuple[Played, ...]) -> None:
    """Not a word while the tune runs."""
    ear = LiveEar()
    ear.settings = EarSettings(Feedback.AT_END)
    play(ear, tune, events, 12.0)
    assert told(ear, tune, schedule, 12.0) == Told()
    ear.end()
    ear.wait()
    assert 0 < len(told(ear, tune, schedule, 12.0).lines) <= MOST_LINES


def test_told_at_once_is_marked_as_it_happens(tune: Tune, schedule: Schedule, events: tuple[Played, ...]) -> None:
    """Everything found so far is in the lanes, the latest in a few words."""
    ear = LiveEar()
    ear.settings = EarSettings(Feedback.AT_ONCE)
    play(ear, tune, events, 14.0)
    heard = told(ear, tune, schedule, 14.0)
    assert heard.marked == ear.findings
    assert heard.marked
    assert heard.lines == ()
    assert heard.brief is not None


def test_another_run_begins_afresh(tune: Tune, schedule: Schedule, events: tuple[Played, ...]) -> None:
    """What was most urgent in the run before stays to be read until the first phrase of this one is over."""
    ear = LiveEar()
    play(ear, tune, events, 12.0)
    ear.begin(TuneRun(tune, Timing(), 20.0, 0.0))
    assert ear.findings == ()
    ear.wait()
    assert told(ear, tune, schedule, 0.5).brief is not None
    assert told(ear, tune, schedule, 0.5).marked == ()


def test_a_clock_that_strays_by_milliseconds_begins_no_other_run(tune: Tune, events: tuple[Played, ...]) -> None:
    """The tune's time passes a little beyond what is played next; a leap back of a second begins anew."""
    ear = LiveEar()
    ear.begin(TuneRun(tune, Timing(), 0.0, 0.0))
    for played in events[:20]:
        ear.hear(played)
        ear.pass_time(played.at_s + 0.005)
        ear.hear(replace(played, at_s=played.at_s + 0.002))
    assert ear.before is None
    ear.hear(replace(events[19], at_s=events[19].at_s - 1.0))
    assert ear.before is not None


def test_the_ear_has_room_in_the_picture(tune: Tune, schedule: Schedule, events: tuple[Played, ...]) -> None:
    """Its few words stand below what is in hand, as large; its findings in the lanes."""
    ear = LiveEar()
    ear.settings = EarSettings(Feedback.AT_ONCE)
    play(ear, tune, events, 14.0)
    heard = told(ear, tune, schedule, 14.0)
    assert heard.brief is not None
    view = PlayView(lettering_for(SIZE, Display()))
    listening = PlayedIn(light=Light.ARRIVING)
    now_s = ear.findings[-1].at_s + 0.3
    picture = view.picture(first_state((tune,), tune, Timing()), Display(), now_s, *SIZE, listening, heard)
    assert [label.text for label in scenes.labels(picture) if label.role is Role.FAULT] == [
        f"heard in {heard.brief.place}:",
        heard.brief.how_often,
    ]
    assert any(isinstance(mark, Arrow) and mark.role is Role.FAULT for mark in picture.moving)


@pytest.mark.parametrize("size", scenes.SIZES)
@pytest.mark.parametrize("print_size", Print)
def test_three_sentences_have_room(tune: Tune, size: tuple[int, int], print_size: Print) -> None:
    """In both prints, in big print one after the other; of longer ones the last line shows that there is more."""
    display = Display(print=print_size)
    view = PlayView(lettering_for(size, display))
    state, listening = first_state((tune,), tune, Timing()), PlayedIn(light=Light.ARRIVING)

    def said(*lines: str) -> list[str]:
        picture = view.picture(state, display, 3.0, *size, listening, Told(lines))
        return [label.text for label in scenes.labels(picture) if label.role is Role.FAULT]

    short = tuple(f"Bar {bar}: the D gracenote on low A was left out." for bar in (1, 2, 3))
    assert " ".join(said(*short)) == " ".join(short)
    assert print_size is Print.BIG or said(*short) == list(short)
    told = said(*(f"{each} " * 4 for each in short))
    assert 2 <= len(told) <= MOST_LINES
    assert told[-1].endswith("…")


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
def test_the_frame_of_a_lit_finger_is_seen_on_skin(theme: Theme) -> None:
    """It has an outline of the ground's colour, from which it differs (WCAG 2.2, 1.4.11: 3 to 1)."""
    contrast = require_module("wcag_contrast_ratio")
    finding = Finding(FindingKind.CROSSING, 1.0, 1, 1, 1, "e", "A", (Finger.UPPER_RING,), 40.0, "x", "E", "x")
    display = Display(theme=theme)
    view = PlayView(lettering_for(SIZE, display))
    layout = view.layout(first_state((scenes.tune(),), scenes.tune(), Timing()), display, *SIZE)
    under, over = [mark for mark in lit_marks(finding, layout, display) if isinstance(mark, Frame)]
    assert (under.role, over.role) == (Role.GROUND, Role.FAULT)
    assert under.rect.x < over.rect.x
    assert under.rect.right > over.rect.right
    ground, problem = (tuple(part / 255 for part in theme[role]) for role in (Role.GROUND, Role.FAULT))
    assert contrast.rgb(ground, problem) >= 3.0
