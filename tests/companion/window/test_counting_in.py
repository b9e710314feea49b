"""A count-in in the window: what is seen, what the keys do, and what becomes of what is played meanwhile."""

from __future__ import annotations

import threading
from dataclasses import replace
from pathlib import Path

import pytest

from companion.listen.judgement import judge
from companion.listen.model.played import Sounded
from companion.midi.maps.note_map import DEFAULT_MAP
from companion.midi.stream.line import Timed
from companion.midi.stream.messages import NoteOff, NoteOn
from companion.midi.takes.hearing import hear_take
from companion.midi.takes.reading import Take, list_takes, read_take
from companion.schedule.count_in import BREATH_S, CountIn, count_in
from companion.schedule.timing import Timing
from companion.window.core.actions import Action, Seek
from companion.window.core.display import Display, Print
from companion.window.core.layout import NOW_SHARE
from companion.window.core.marks import Dot, Picture, Stripe, Style
from companion.window.lanes.count_marks import count_words
from companion.window.play.play_state import PlayState, first_state
from companion.window.play.play_view import PlayView
from companion.window.takes.asked_tune import asked_of
from companion.window.takes.review import review
from fingering.notes import Note
from tests.companion.window import scenes
from tests.companion.window.driven_window import FRAME_S, TUNE, Window
from tests.companion.window.lettered import lettering_for
from tests.companion.window.players import notes_of

BAR_S = 2.0
PICK_UP = scenes.tune("X:1\nT:Creel\nM:4/4\nL:1/8\nQ:1/4=60\nK:HP\ne2|A2 c2 {d}c2 e2|{gef}e4 A2:|\n")


@pytest.fixture
def window(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Window:
    """A window on two bars of 4/4 at 120, not repeated, with the metronome on."""
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    opened = Window(tmp_path, lambda preferences: None)
    while not opened.screen.state.sound.metronome_level:
        opened.screen.act(Action.METRONOME)
    return opened


def counted_large(picture: Picture) -> list[str]:
    """The number of the row that is large, where the note in hand stands else."""
    return [label.text for label in scenes.labels(picture) if label.style is Style.HUGE]


def test_the_beats_are_counted_large_and_the_tune_follows(window: Window) -> None:
    """One to four, each for half a second, and then the first note."""
    window.screen.act(Action.PLAY)
    seen: list[str] = []
    for _ in range(round((BREATH_S + BAR_S) / FRAME_S) + 2):
        window.frames()
        assert window.shell.picture is not None
        seen += [text for text in counted_large(window.shell.picture) if text not in seen[-1:]]
    assert seen == ["1", "2", "3", "4", "E"]


def test_the_tune_stands_where_it_starts_until_it_starts(window: Window) -> None:
    """To every key it is there; a pause stops the count and stays there."""
    window.screen.act(Seek(1.0))
    window.screen.act(Action.PLAY)
    window.frames(4)
    assert window.screen.position_s() == pytest.approx(1.0)
    window.screen.act(Action.PLAY)
    window.frames()
    assert not window.screen.state.playing
    assert window.screen.position_s() == pytest.approx(1.0)
    assert "counting in" not in window.words()


def test_a_click_in_the_lanes_counts_anew_there(window: Window) -> None:
    """And a metronome that is switched off ends the count at once."""
    window.screen.act(Action.PLAY)
    window.frames(10)
    window.screen.act(Seek(1.5))
    window.frames()
    assert "counting in, the tune starts on 4 of the next bar" in window.words()
    while window.screen.state.sound.metronome_level:
        window.screen.act(Action.METRONOME)
    window.frames(2)
    assert "counting in" not in window.words()
    assert 1.5 <= window.screen.position_s() < 1.5 + 4 * FRAME_S


def play_over_a_count(window: Window, tried: tuple[Timed, ...]) -> Take:
    """Play the tune along, with `tried` played during its count-in, and the take of that."""
    window.screen.act(Action.START)
    window.screen.act(Action.PLAY)
    starts_s = window.clock.now_s + BREATH_S + BAR_S
    tune = [Timed(starts_s + each.at_s, each.message) for each in notes_of(window.screen.state.schedule)]
    waiting = [*(Timed(starts_s + each.at_s, each.message) for each in tried), *tune]
    while window.screen.state.playing:
        while waiting and waiting[0].at_s <= window.clock.now_s:
            window.feed.play(waiting.pop(0))
        window.frames()
    window.until(lambda: not any(thread.name == "take ending" for thread in threading.enumerate()))
    (summary,) = list_takes(window.folder / "takes").takes
    return read_take(summary.path)


LOW_A = DEFAULT_MAP.number(Note.LOW_A)
NOTHING_TRIED: tuple[Timed, ...] = ()
TRIED = (Timed(-1.5, NoteOn(0, LOW_A)), Timed(-0.9, NoteOff(0, LOW_A)))
HELD_INTO_IT = (Timed(-1.5, NoteOn(0, LOW_A)), Timed(0.02, NoteOff(0, LOW_A)))


@pytest.mark.parametrize("tried", [NOTHING_TRIED, TRIED, HELD_INTO_IT])
def test_what_is_played_during_the_count_is_kept_but_not_judged(window: Window, tried: tuple[Timed, ...]) -> None:
    """Live, in review and by the command line: the tune alone, from its start, and nothing of it is lost."""
    take = play_over_a_count(window, tried)
    ear = window.live.ear
    ear.wait()
    assert ear.told(TUNE, Timing(), window.screen.state.schedule, 0.0).marked == ()
    assert len(take.messages) == len(tried) + len(list(notes_of(window.screen.state.schedule)))
    assert take.heading.counted_s == pytest.approx(BREATH_S + BAR_S, abs=2 * FRAME_S)
    assert take.heading.tune_starts_s == pytest.approx(take.heading.counted_s)
    asked = asked_of(take, (TUNE,))
    assert asked is not None
    reviewed = review(take, asked, window.screen.state.ear.strictness)
    assert (reviewed.refusal, reviewed.findings) == ("", ())
    assert take.path is not None
    heard = hear_take(take.path, TUNE, None)
    judged = judge(TUNE, heard.events, terms=heard.terms)
    assert judged.findings == ()
    assert judged.verdict.notes.right == judged.verdict.notes.of


def test_a_slip_is_found_where_it_was_made_after_a_count(window: Window) -> None:
    """The same finding at the same moment of the tune as without a metronome's count."""
    take = play_over_a_count(window, TRIED)
    events = [
        replace(each, note=Note.B) if isinstance(each, Sounded) and 0.5 < each.at_s < 0.7 else each
        for each in take.performance
    ]
    (finding,) = judge(TUNE, events, terms=take.heading.terms_for(TUNE)).findings
    assert finding.at_s == pytest.approx(0.53, abs=0.02)


def counting(state: PlayState, place_s: float) -> CountIn:
    """The count-in before a place."""
    count = count_in(state.schedule, place_s)
    assert count is not None
    return count


def shown(state: PlayState, count: CountIn | None, now_s: float, size: tuple[int, int], display: Display) -> Picture:
    """The playing screen in a count-in."""
    return PlayView(lettering_for(size, display)).picture(state, display, now_s, *size, count=count)


@pytest.mark.parametrize("size", scenes.SIZES)
@pytest.mark.parametrize("print_size", tuple(Print))
def test_words_stay_apart_and_nothing_stands_before_the_start(size: tuple[int, int], print_size: Print) -> None:
    """At every size, in every metre that fills the row."""
    display = Display(print=print_size)
    for meter, notes in (("4/4", "A8"), ("9/8", "A9"), ("5/8", "A5"), ("11/8", "A11")):
        tune = scenes.tune(f"X:1\nT:Nets on the Slip\nM:{meter}\nL:1/8\nQ:1/4=60\nK:HP\n{notes}|{notes}|\n")
        state = first_state((tune,), tune, Timing())
        count = counting(state, 0.0)
        for beat in count.beats:
            picture = shown(state, count, beat.at_s + 0.1, size, display)
            scenes.assert_apart(picture, lettering_for(size, display))
            assert counted_large(picture) == [str(beat.number)]
            starts_x = min((mark.x0 for mark in picture.moving if isinstance(mark, Stripe)), default=float(size[0]))
            assert starts_x > size[0] * NOW_SHARE


def test_the_dots_of_the_count_pass_the_chanter_when_they_click() -> None:
    """At each counted beat one dot stands at the present, and the first of a bar is the larger one."""
    state = first_state((PICK_UP,), PICK_UP, Timing())
    count = counting(state, 0.0)
    size, display = (1280, 720), Display()
    layout = PlayView(lettering_for(size, display)).layout(state, display, *size)
    for beat in count.beats:
        picture = shown(state, count, beat.at_s, size, display)
        dots = [mark for mark in picture.moving if isinstance(mark, Dot) and mark.y == layout.beats_y]
        (dot,) = (mark for mark in dots if abs(mark.x - layout.now_x) < 1.0)
        assert (dot.radius > layout.line * 0.15) == beat.first


def test_the_words_say_where_the_tune_starts() -> None:
    """On which beat, of this bar or the next; between two; and with what."""
    state = first_state((PICK_UP,), PICK_UP, Timing())
    count = counting(state, 0.0)
    said = [count_words(count, beat.at_s, state.schedule) for beat in count.beats]
    assert said[0] == "counting in, the tune starts on 4 of the next bar, with E"
    assert said[-1] == "counting in, the tune starts on 4, with E"
    between = counting(state, 1.5)
    assert count_words(between, between.beats[-1].at_s, state.schedule) == (
        "counting in, the tune starts after 1, with low A"
    )


def test_only_the_large_number_changes_and_no_faster_than_the_beat() -> None:
    """Within a beat the words are the same: nothing flashes (WCAG 2.2, 2.3.1: at most three times in a second)."""
    state = first_state((PICK_UP,), PICK_UP, Timing())
    count = counting(state, 0.0)
    beat_s = count.beats[1].at_s - count.beats[0].at_s
    size, display = (1280, 720), Display()
    for beat in count.beats:
        pictures = [shown(state, count, beat.at_s + share * beat_s, size, display) for share in (0.01, 0.5, 0.99)]
        heads = {tuple(label for label in scenes.labels(each) if label.y < size[1] * 0.15) for each in pictures}
        assert len(heads) == 1
