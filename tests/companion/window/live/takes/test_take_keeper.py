"""What is played in while a tune runs is kept: in several takes where one could not be read any more."""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from companion.files.kept_json import LONGEST_TEXT
from companion.midi.maps.note_map import DEFAULT_MAP
from companion.midi.stream.line import Timed
from companion.midi.stream.messages import NoteOff, NoteOn, VoiceMessage
from companion.midi.takes import recorder
from companion.midi.takes.heading import Heading
from companion.midi.takes.reading import Take, build_take, list_takes, read_take
from companion.midi.takes.recorder import FULL_AFTER_S, FULL_AT_EVENTS
from companion.midi.takes.standard_file import LONGEST_S, MOST_EVENTS
from companion.schedule.timing import Timing
from companion.window.core.display import Display
from companion.window.core.screen import Canvas
from companion.window.live.source_choice import Came
from companion.window.live.takes.run_take import SETTLED_S, PlayedOn
from companion.window.live.takes.take_keeper import TakeKeeper
from companion.window.live.tune_run import TuneRun
from companion.window.paint.still import paint_still
from companion.window.takes.take_state import heard_schedule, open_take
from companion.window.takes.take_view import TakeView
from companion.window.takes.takes_screen import TakesScreen
from tests.companion.midi.spoilt import GOOD, HEADING, SPOILT, changed
from tests.companion.tune_building import notes, tune
from tests.companion.window import scenes
from tests.companion.window.lettered import lettering_for

TUNE = tune(notes("gcd:c e gAd:A A"))
PLAYER = PlayedOn("Chanter", None)
SIZE = (1280, 720)
FRAME_S = 1 / 60


def played(count: int) -> Iterator[tuple[float, VoiceMessage]]:
    """`count` messages, one a frame: each note is struck before the one before it is let go."""
    for rank in range(count):
        number = 69 + rank // 2 % 4
        yield rank * FRAME_S, (NoteOn(0, number + 1) if rank % 2 else NoteOff(0, number))


@pytest.mark.parametrize("after", [None, TuneRun(TUNE, Timing(), 3.5, 1.0)])
def test_what_came_in_the_frame_that_ends_a_run_was_played_in_it(tmp_path: Path, after: TuneRun | None) -> None:
    """A frame that is held up for two seconds ends it, as a jump or because the tune was stopped."""
    keeper = TakeKeeper(tmp_path)
    keeper.follow(TuneRun(TUNE, Timing(), 0.0, 0.0), PLAYER, Came(messages=(Timed(0.0, NoteOn(0, 69)),)))
    keeper.follow(TuneRun(TUNE, Timing(), 1.0, 1.0), PLAYER, Came())
    late = (Timed(1.5, NoteOff(0, 69)), Timed(2.0, NoteOn(0, 71)), Timed(2.5, NoteOff(0, 71)))
    keeper.follow(after, PLAYER, Came(held=(NoteOn(0, 69),), messages=late))
    keeper.end(PLAYER)
    (take,) = [read_take(summary.path) for summary in list_takes(tmp_path).takes]
    assert told(take) == [(0.0, 69), (1.5, 69), (2.0, 71), (2.5, 71)]


def told(take: Take) -> list[tuple[float, int]]:
    """When in the tune notes begin and end in a take, and which, as MIDI numbers."""
    notes = [(each.at_s, each.message) for each in take.messages if isinstance(each.message, NoteOn | NoteOff)]
    return [(round(at_s, 3), note.number) for at_s, note in notes]


def test_what_comes_some_frames_after_a_jump_but_was_played_before_it_is_in_the_take_before(tmp_path: Path) -> None:
    """As on a machine so busy that the port's process is held up as well: here by 0.4 s. What sounded as the tune
    jumped is held as the next take begins."""
    keeper = TakeKeeper(tmp_path)
    keeper.follow(TuneRun(TUNE, Timing(), 0.0, 0.0), PLAYER, Came(messages=(Timed(0.0, NoteOn(0, 69)),)))
    keeper.follow(TuneRun(TUNE, Timing(), 1.0, 1.0), PLAYER, Came())
    keeper.follow(TuneRun(TUNE, Timing(), 3.0, 1.5), PLAYER, Came((NoteOn(0, 69),), (Timed(1.5, NoteOff(0, 69)),)))
    keeper.follow(TuneRun(TUNE, Timing(), 3.1, 1.6), PLAYER, Came(messages=(Timed(2.6, NoteOn(0, 71)),)))
    late = (Timed(2.8, NoteOff(0, 71)), Timed(2.85, NoteOn(0, 73)), Timed(3.2, NoteOff(0, 73)))
    keeper.follow(TuneRun(TUNE, Timing(), 3.4, 1.9), PLAYER, Came((NoteOn(0, 71),), late))
    keeper.follow(TuneRun(TUNE, Timing(), 4.5, 3.0), PLAYER, Came())
    keeper.end(PLAYER)
    takes = [read_take(summary.path) for summary in list_takes(tmp_path).takes]
    before, after = sorted(takes, key=lambda take: take.heading.began)
    assert told(before) == [(0.0, 69), (1.5, 69), (2.6, 71), (2.8, 71), (2.85, 73)]
    assert (told(after), after.heading.held) == ([(1.5, 73), (1.7, 73)], True)


@pytest.mark.parametrize("first_s", [1.2, 2.6])
def test_a_take_whose_first_message_comes_after_its_run_is_kept(tmp_path: Path, first_s: float) -> None:
    keeper = TakeKeeper(tmp_path)
    keeper.follow(TuneRun(TUNE, Timing(), 1.0, 1.0), PLAYER, Came())
    keeper.follow(TuneRun(TUNE, Timing(), 3.0, 1.5), PLAYER, Came())
    late = (Timed(first_s, NoteOn(0, 71)), Timed(2.8, NoteOff(0, 71)))
    keeper.follow(TuneRun(TUNE, Timing(), 3.1, 1.6), PLAYER, Came(messages=late))
    keeper.follow(None, PLAYER, Came())
    keeper.wait_for_ended(60.0)
    (take,) = [read_take(summary.path) for summary in list_takes(tmp_path).takes]
    assert told(take) == [(first_s, 71), (2.8, 71)]


def test_a_take_that_is_full_ends_and_another_begins(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing between them is lost."""
    monkeypatch.setattr(recorder, "FULL_AT_EVENTS", 40)
    keeper = TakeKeeper(tmp_path)
    sent = list(played(200))
    at_s = 0.0
    for at_s, message in sent:
        keeper.follow(TuneRun(TUNE, Timing(), at_s, at_s), PLAYER, Came(messages=(Timed(at_s, message),)))
    keeper.end(PLAYER)
    takes = [read_take(summary.path) for summary in list_takes(tmp_path).takes]
    kept = sorted((round(each.at_s, 3), str(each.message)) for take in takes for each in take.messages)
    assert len(takes) == 5
    assert kept == sorted((round(at_s, 3), str(message)) for at_s, message in sent)


def test_a_take_of_a_day_ends_as_well(tmp_path: Path) -> None:
    """Though hardly anything was played."""
    keeper = TakeKeeper(tmp_path)
    for at_s in (0.0, SETTLED_S, FULL_AFTER_S, FULL_AFTER_S + 1.0, FULL_AFTER_S + 2.0):
        came = Came(messages=(Timed(at_s, NoteOn(0, 69)),))
        keeper.follow(TuneRun(TUNE, Timing(), at_s, at_s), PLAYER, came)
    keeper.end(PLAYER)
    assert len(list_takes(tmp_path).takes) == 2


def test_a_take_that_is_over_is_whole_once_it_was_waited_for(tmp_path: Path) -> None:
    """Whoever looks at it in the frame in which it ended sees how long it is, not only what was played."""
    keeper = TakeKeeper(tmp_path)
    for at_s in (0.0, SETTLED_S, 4.0):
        came = Came(messages=(Timed(0.0, NoteOn(0, 69)),) if at_s == 0.0 else ())
        keeper.follow(TuneRun(TUNE, Timing(), at_s, at_s), PLAYER, came)
    keeper.follow(None, PLAYER, Came())
    keeper.wait_for_ended(60.0)
    (take,) = list_takes(tmp_path).takes
    assert take.end_s == pytest.approx(4.0, abs=0.01)


@pytest.mark.parametrize("messages", [(), (NoteOff(0, 69),), (NoteOn(0, 20), NoteOff(0, 20))])
def test_a_run_in_which_nothing_was_played_is_neither_a_file_nor_a_row(
    tmp_path: Path, messages: tuple[VoiceMessage, ...]
) -> None:
    """Nor is it kept in memory, as is what cannot be written."""
    player = PlayedOn("Chanter", DEFAULT_MAP)
    for folder in (tmp_path / "takes", tmp_path / "no folder"):
        if folder.name != "takes":
            folder.write_text("")
        keeper = TakeKeeper(folder)
        for rank in range(20):
            came = Came(messages=tuple(Timed(rank * 0.05, each) for each in messages[rank : rank + 1]))
            keeper.follow(TuneRun(TUNE, Timing(), rank * 0.05, rank * 0.05), player, came)
        keeper.end(player)
        assert keeper.unkept == ()
        assert not folder.is_dir() or list(folder.iterdir()) == []


def test_what_is_full_can_still_be_read() -> None:
    """With room for what a window that was held up hands over at once, and for a pause."""
    assert FULL_AT_EVENTS + 4096 < MOST_EVENTS
    assert FULL_AFTER_S < LONGEST_S


def test_a_take_of_a_week_opens(tmp_path: Path) -> None:
    """Nothing is made that grows with its length."""
    heading: Heading = replace(HEADING, tune=None, stretch=None)
    messages = [Timed(1.0, NoteOn(0, 69)), Timed(600_000.0, NoteOn(0, 71))]
    state = open_take(build_take(heading, messages, LONGEST_S), ())
    assert heard_schedule(replace(state, take_slow_down=32.0)).duration_s == pytest.approx(32 * LONGEST_S)


def test_the_list_shows_no_control_characters(tmp_path: Path) -> None:
    """Good takes beside spoilt ones, of which the first is told and the others are counted."""
    (tmp_path / "a.mid").write_bytes(changed(tune__title="a\n\0\x1b[2J\ud800", source="b\x07:c\r"))
    (tmp_path / "b.mid").write_bytes(GOOD)
    for name in ("the year 1", "nothing at all"):
        (tmp_path / f"c\n{name}.mid").write_bytes(SPOILT[name][0])
    screen = TakesScreen(list_takes(tmp_path), str(tmp_path), lambda take: None)
    lettering = lettering_for(SIZE, Display())
    picture = screen.picture(Canvas(*SIZE, Display(), lettering))
    words = [label.text for label in scenes.labels(picture)]
    paint_still(picture, Display(), lettering)
    assert all(each.isprintable() for each in words)
    assert any("a<0A><00><1B>[2J<D800>" in each for each in words)
    assert any("c<0A>" in each for each in words)


def test_the_longest_texts_are_drawn_at_once(tmp_path: Path) -> None:
    """In the list and over the take: cut to their room."""
    (tmp_path / "a.mid").write_bytes(changed(tune__title="M" * LONGEST_TEXT, source="W" * LONGEST_TEXT, stretch=None))
    lettering = lettering_for(SIZE, Display())
    state = open_take(read_take(tmp_path / "a.mid"), ())
    screen = TakesScreen(list_takes(tmp_path), str(tmp_path), lambda take: None)
    over = TakeView(lettering).picture(state, Display(), 0.0, *SIZE)
    for picture in (screen.picture(Canvas(*SIZE, Display(), lettering)), over):
        began_s = time.perf_counter()
        paint_still(picture, Display(), lettering)
        assert time.perf_counter() - began_s < 1.0
        assert all(lettering.width(label.text, label.style) <= SIZE[0] for label in scenes.labels(picture))
