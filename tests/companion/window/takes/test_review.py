"""A take in review: its findings in the lanes, next and previous, hear mine, hear it right, and what to mend first."""

from __future__ import annotations

import threading
from dataclasses import replace
from pathlib import Path

import pytest

from companion.listen.judgement import judge
from companion.listen.model.findings import Finding
from companion.listen.model.strictness import Strictness
from companion.midi.maps.note_map import DEFAULT_MAP
from companion.midi.takes.hearing import hear_take
from companion.midi.takes.reading import Take, read_take
from companion.schedule.build import build_schedule
from companion.schedule.timing import Timing
from companion.score.model import Tune
from companion.sound.player import SilentPlayer
from companion.window.choosing_navigation import choose_tune
from companion.window.core.actions import Action, Seek
from companion.window.core.display import Display, Print
from companion.window.core.marks import Arrow, Frame, Role, Rule, Wash
from companion.window.core.screen import ScreenResult
from companion.window.lanes.finding_marks import ARROW_TALL, CHOSEN_STROKE, lit_marks
from companion.window.play.play_screen import PlayScreen
from companion.window.playing_navigation import take_over
from companion.window.takes import review as reviewing
from companion.window.takes.asked_tune import asked_of
from companion.window.takes.review import Review, review
from companion.window.takes.take_moves import (
    NO_TUNE,
    NOT_YET,
    NOTHING_ASKED,
    NOTHING_AT_ALL,
    NOTHING_FOUND,
    judged,
    update_take,
)
from companion.window.takes.take_screen import TakeScreen
from companion.window.takes.take_state import SoundedSide, open_take
from companion.window.takes.take_view import TakeView
from tests.companion.listen.playing import FOUR_BARS, tune_of
from tests.companion.window import scenes
from tests.companion.window.lettered import lettering_for
from tests.companion.window.players import Clock, write_take
from tests.companion.window.takes.reviewing import SIZE, canvas, faults, words_of


def test_the_window_finds_what_the_command_line_finds(screen: TakeScreen, take: Take, tune: Tune) -> None:
    """One judge: the very same findings for the same take."""
    assert screen.state.review is not None
    assert screen.state.review.findings == judge(tune, take.performance, Strictness.USUAL).findings
    assert len(screen.state.review.findings) > 10


@pytest.mark.parametrize(("slow_down", "metronome"), [(2.0, True), (32.0, False), (32.0, True)])
def test_window_and_command_line_judge_on_the_same_terms(slow_down: float, metronome: bool, tmp_path: Path) -> None:
    """However slow it was, and whatever tempo the tune has since; nothing in a faultless take is blamed."""
    slow, timing = tune_of(FOUR_BARS, "1/4=30"), Timing(slow_down=slow_down)
    path = write_take(tmp_path, slow, build_schedule(slow, timing), timing, DEFAULT_MAP, metronome=metronome)
    kept = read_take(path)
    for now, faster in ((slow, 1.0), (tune_of(FOUR_BARS, "1/4=180"), 6.0)):
        terms = hear_take(path, now, None).terms
        assert kept.heading.terms_for(now) == terms
        assert terms.times_slower == pytest.approx(slow_down * faster)
        asked = asked_of(kept, (now,))
        assert asked is not None
        reviewed = review(kept, asked, Strictness.USUAL)
        assert (reviewed.refusal, reviewed.findings) == ("", ())


def test_the_take_is_judged_in_a_thread_of_its_own(
    take: Take, tune: Tune, monkeypatch: pytest.MonkeyPatch, clock: Clock
) -> None:
    """The window draws on, and says that it is listening."""
    go_on = threading.Event()
    judged_in: list[str] = []

    def slowly(*asked: object, **how: object) -> object:
        judged_in.append(threading.current_thread().name)
        go_on.wait(10.0)
        return judge(tune, take.events)

    monkeypatch.setattr(reviewing, "judge", slowly)
    beneath = PlayScreen(scenes.state(), SilentPlayer(clock), choose_tune)
    opened = take_over(beneath, take)
    opened.tick()
    assert "listening to the take" in words_of(opened.picture(canvas()))
    go_on.set()
    opened.finish_review()
    assert "all that is said" not in words_of(opened.picture(canvas()))
    assert "hear it right" in words_of(opened.picture(canvas()))
    assert judged_in == ["reviewing a take"]


def test_next_and_previous_go_from_finding_to_finding(screen: TakeScreen) -> None:
    """The take stands where each was heard, its sentence in the header; at the last one, next stays. All are gone
    through where all are shown."""
    assert screen.state.review is not None
    findings = screen.state.review.findings
    screen.act(Action.ALL_PLACES)
    screen.act(Action.START)
    for rank, finding in enumerate(findings[:4]):
        screen.act(Action.FINDING_ON)
        assert screen.state.chosen == rank
        assert screen.position_s() == finding.at_s
        assert finding.text in words_of(screen.picture(canvas((1920, 1080))))
    screen.act(Action.FINDING_BACK)
    assert screen.state.chosen == 2
    screen.look_at(10_000)
    assert screen.state.chosen == len(findings) - 1


def test_a_finding_is_marked_on_the_lanes_of_its_fingers(screen: TakeScreen) -> None:
    """A frame on each finger's lane, an arrow above: shape and place as well as colour. At the chanter no arrow: it
    would hide the thumb, and nothing is cleared there."""
    assert screen.state.review is not None
    rank = next(i for i, each in enumerate(screen.state.review.findings) if len(each.fingers) == 1)
    screen.look_at(rank)
    picture = screen.picture(canvas())
    layout = TakeView(canvas().measure).layout(screen.state, Display(), *SIZE)
    arrows = [mark for mark in faults(picture, Arrow) if isinstance(mark, Arrow)]
    assert all(abs(arrow.x - layout.now_x) > layout.tube for arrow in arrows)
    washes = [mark.rect for mark in picture.moving if isinstance(mark, Wash) and mark.rect.y > layout.chanter_top]
    assert not any(rect.holds(layout.now_x, rect.y) for rect in washes)
    frames = [mark for mark in faults(picture, Frame) if isinstance(mark, Frame) and mark.rect.y > layout.lanes.y / 2]
    lane_y = layout.lane_y(screen.state.review.findings[rank].fingers[0])
    assert any(frame.rect.holds(layout.now_x, lane_y) and frame.rect.width >= layout.lane for frame in frames)
    screen.act(Action.HEAR_MINE)
    arrows = [mark for mark in faults(screen.picture(canvas()), Arrow) if isinstance(mark, Arrow)]
    assert any(arrow.x > layout.now_x + layout.tube for arrow in arrows)
    assert all(arrow.size >= layout.line * ARROW_TALL for arrow in arrows)


def test_frames_of_neighbours_do_not_meet_and_hide_no_finger(screen: TakeScreen) -> None:
    """Each has hardly more of the ground round it than its line is wide, and stays in its lane."""
    for size in ((800, 600), (1280, 720), (1920, 1080)):
        shown = canvas(size, Print.BIG)
        layout = TakeView(shown.measure).layout(screen.state, shown.display, *size)
        finding = finding_at_fingers(screen)
        halo, *_ = lit_marks(finding, layout, shown.display)
        assert isinstance(halo, Frame)
        rects = [mark.rect for mark in lit_marks(finding, layout, shown.display) if isinstance(mark, Frame)]
        assert all(rect.height <= layout.lane + 1.0 for rect in rects)
        assert halo.width <= layout.line * CHOSEN_STROKE + 2.0


def finding_at_fingers(screen: TakeScreen) -> Finding:
    """The first finding that blames a finger."""
    assert screen.state.review is not None
    return next(each for each in screen.state.review.findings if each.fingers)


def test_hear_mine_goes_round_the_finding(screen: TakeScreen, clock: Clock) -> None:
    """From a second before it, over and over, four times slower."""
    screen.look_at(6)
    screen.act(Action.HEAR_MINE)
    loop = screen.state.loop
    assert loop is not None
    assert screen.state.playing
    assert screen.position_s() == pytest.approx(loop.start_s, abs=1e-3)
    assert screen.state.slow_down == 4.0
    clock.now_s += 2.0
    assert screen.position_s() == pytest.approx(loop.start_s + 0.5, abs=1e-3)
    clock.now_s += 4.0 * (loop.end_s - loop.start_s)
    assert screen.position_s() == pytest.approx(loop.start_s + 0.5, abs=1e-2)


def test_a_loop_has_a_slow_down_of_its_own(screen: TakeScreen) -> None:
    """It is kept from loop to loop, mine and right alike; the take goes on as fast as before."""
    screen.look_at(6)
    screen.act(Action.HEAR_MINE)
    screen.act(Action.SLOWER)
    screen.act(Action.HEAR_RIGHT)
    assert screen.state.slow_down == 6.0
    screen.act(Action.FINDING_ON)
    assert screen.state.slow_down == 1.0
    screen.act(Action.HEAR_MINE)
    assert screen.state.slow_down == 6.0


def test_what_was_played_slowly_is_slowed_down_less(take: Take, tune: Tune) -> None:
    """A take at a third of the tempo is heard at two thirds of its own speed, some four times slower in all."""
    slowly = replace(take, heading=replace(take.heading, timing=Timing(slow_down=3.0)))
    assert open_take(slowly, (tune,)).loop_slow_down == 1.5


def test_the_key_that_leaves_the_loop_is_named(screen: TakeScreen) -> None:
    """Escape: first the loop, to the finding; then the screen. Where the loop begins and ends is marked."""
    screen.look_at(6)
    for key in (Action.HEAR_MINE, Action.HEAR_RIGHT):
        screen.act(key)
        looping = screen.picture(canvas())
        assert "back to the take" in words_of(looping)
        assert sum(isinstance(mark, Rule) and mark.role is Role.GUIDE for mark in looping.moving) >= 3
        assert screen.act(Action.LEAVE) is ScreenResult.STAY
        assert screen.state.loop is None
        assert screen.state.finding is not None
        assert screen.position_s() == screen.state.finding.at_s
    assert screen.act(Action.LEAVE) is ScreenResult.CLOSE


@pytest.mark.parametrize("key", [Action.HEAR_MINE, Action.HEAR_RIGHT])
def test_hearing_takes_the_nearest_finding_where_none_is_looked_at(screen: TakeScreen, key: Action) -> None:
    """Nearest to where the take stands."""
    assert screen.state.review is not None
    findings = screen.state.review.findings
    screen.act(Action.ALL_PLACES)
    screen.act(Seek(findings[7].at_s))
    assert screen.state.chosen is None
    screen.act(key)
    assert screen.state.finding is not None
    assert screen.state.finding.at_s == findings[7].at_s
    assert screen.state.playing


KEYS_OF_FINDINGS = (
    Action.HEAR_MINE,
    Action.HEAR_RIGHT,
    Action.FINDING_ON,
    Action.FINDING_BACK,
    Action.HEAR_IN_TURN,
    Action.TEMPO_DOWN,
    Action.ALL_PLACES,
    Action.CHOOSE,
    Action.VERDICT,
)


@pytest.mark.parametrize("key", KEYS_OF_FINDINGS)
def test_a_key_that_finds_nothing_says_why(take: Take, tune: Tune, key: Action) -> None:
    """Before the take was judged, where it was refused, where its tune is not here, and in free play."""
    opened = open_take(take, (tune,))
    refused = judged(opened, Review(Strictness.USUAL, refusal="only 2 notes were played; play more of the tune"))
    lost = open_take(take, ())
    free = open_take(replace(take, heading=replace(take.heading, tune=None)), ())
    said = [update_take(state, key, 1.0).notice for state in (opened, refused, lost, free)]
    assert said == [NOT_YET, "only 2 notes were played; play more of the tune", NO_TUNE, NOTHING_ASKED]
    view = TakeView(lettering_for(SIZE, Display()))
    for state, words in zip((opened, refused, lost, free), said, strict=True):
        shown = words_of(view.picture(update_take(state, key, 1.0), Display(), 1.0, *SIZE))
        assert " ".join(words.split()) in " ".join(shown.split())


@pytest.mark.parametrize("key", KEYS_OF_FINDINGS[:4])
def test_a_take_without_a_finding_says_so(take: Take, tune: Tune, key: Action) -> None:
    """The notice offers a stricter teacher, except at the strictest."""
    opened = open_take(take, (tune,))
    faultless = judged(opened, Review(Strictness.USUAL))
    assert update_take(faultless, key, 1.0).notice == NOTHING_FOUND
    strictly = replace(faultless, strictness=Strictness.HARD)
    assert update_take(strictly, key, 1.0).notice == NOTHING_AT_ALL
    assert update_take(update_take(faultless, key, 1.0), Action.ON, 1.0).notice == ""


def test_a_refusal_is_shown_with_its_remedy(take: Take, tune: Tune) -> None:
    """Whole, at every size and in both prints."""
    refusal = (
        "this does not sound like Nets on the Slip (23 % of the melody fits), so it is not judged; choose the tune "
        "that was played"
    )
    state = judged(open_take(take, (tune,)), Review(Strictness.USUAL, refusal=refusal))
    for size in scenes.SIZES:
        for print_size in scenes.PRINTS:
            display = Display(print=print_size)
            shown = words_of(TakeView(lettering_for(size, display)).picture(state, display, 1.0, *size))
            assert refusal in shown.replace("\n", " ")


@pytest.mark.parametrize("slower", [0, 3])
def test_hear_it_right_sounds_what_was_asked_there(screen: TakeScreen, clock: Clock, slower: int) -> None:
    """It plays the tune's version of the stretch around the finding, at the slow-down in force."""
    for _ in range(slower):
        screen.act(Action.SLOWER)
    screen.look_at(6)
    screen.act(Action.HEAR_RIGHT)
    assert screen.state.sounding is SoundedSide.ASKED
    began_s = screen.position_s()
    clock.now_s += 0.3
    assert screen.position_s() == pytest.approx(began_s + 0.3 / screen.state.slow_down, abs=1e-3)
    assert "this is how it goes" in words_of(screen.picture(canvas((1920, 1080))))
    screen.act(Action.ON)
    after = screen.state
    assert (after.sounding, after.loop) == (SoundedSide.TAKE, None)


def test_a_stricter_teacher_finds_more(screen: TakeScreen) -> None:
    """The key goes round the three; the take is judged again."""
    counts = {}
    for _ in Strictness:
        screen.finish_review()
        assert screen.state.review is not None
        counts[screen.state.strictness] = len(screen.state.review.findings)
        screen.act(Action.STRICTNESS)
    assert counts[Strictness.EASY] < counts[Strictness.USUAL] <= counts[Strictness.HARD]
