"""What is played in reaches the trails and the takes, whatever the tune and the instrument do meanwhile."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest

from companion.listen.model.played import Sounded
from companion.midi.maps.keys import KEYS_MAP, KeyLayout
from companion.midi.maps.keys import UpperHand as UpperHand
from companion.midi.maps.note_map import DEFAULT_MAP
from companion.midi.maps.touch import Touch
from companion.midi.stream.line import Timed
from companion.midi.stream.messages import NoteOff, NoteOn
from companion.midi.stream.monophony import STUCK_AFTER_S
from companion.midi.takes.heading import content_hash
from companion.midi.takes.reading import Take, list_takes, read_take
from companion.schedule.timing import Timing
from companion.sound.settings import LatencyMode, SoundSettings
from companion.window.lanes.played_in import Light, Tells
from companion.window.live.frame_source import MOST_A_FRAME
from companion.window.live.input import LiveInput
from companion.window.live.played_keys import PlayedKeys
from companion.window.live.sound import LiveSound
from companion.window.live.tune_run import TuneRun
from fingering.chart import chart
from fingering.holes import ALL_CLOSED, Finger, HoleState
from fingering.notes import Note
from tests.companion.sound.loudspeaker import wait_until
from tests.companion.window import scenes
from tests.companion.window.players import Clock, Feed

TUNE = scenes.tune()
TIMING = Timing(slow_down=2.0)
LOW_A, B = DEFAULT_MAP.number(Note.LOW_A), DEFAULT_MAP.number(Note.B)
CAPS = ("space", "F", "D", "S", "J", "K", "L", ";")


class Desk:
    """A live input whose clock, tune and instrument a test moves."""

    def __init__(self, folder: Path | None) -> None:
        self.clock = Clock(100.0)
        self.sound = LiveSound()
        self.live = LiveInput(folder, self.sound, self.clock)
        self.feed = Feed()
        self.live.choice.follow(self.feed, DEFAULT_MAP)

    def strike(self, number: int) -> None:
        """A note goes on now."""
        self.feed.play(Timed(self.clock(), NoteOn(0, number)))

    def let(self, number: int) -> None:
        """A note goes off now."""
        self.feed.play(Timed(self.clock(), NoteOff(0, number)))

    def frames(
        self, seconds: float, position_s: float | None = None, timing: Timing = TIMING, *, metronome: bool = False
    ) -> None:
        """Let time pass in frames; the tune runs from `position_s` on, or not at all."""
        for _ in range(round(seconds * 50)):
            run = None if position_s is None else TuneRun(TUNE, timing, self.clock(), position_s, metronome)
            self.live.gather(run)
            self.clock.now_s += 0.02
            position_s = None if position_s is None else position_s + 0.02


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """A desk whose takes go to a folder of the test."""
    desk = Desk(tmp_path)
    yield desk
    desk.live.close()


def notes_beside(desk: Desk, now_s: float) -> list[tuple[float, Note | None]]:
    """What was played beside the tune up to `now_s`: tune times, to the hundredth, and notes."""
    return [(round(each.at_s, 2), each.note) for each in desk.live.beside(now_s).moments]


def takes_in(folder: Path) -> list[Take]:
    """All takes of a folder."""
    return [read_take(each.path) for each in list_takes(folder).takes]


def test_a_note_lies_where_the_tune_stood_when_it_was_struck(desk: Desk) -> None:
    """Not where the tune stands when the frame takes notice."""
    desk.frames(1.0, 5.0)
    desk.feed.play(Timed(desk.clock() - 0.3, NoteOn(0, LOW_A)))
    desk.frames(0.5, 6.0)
    assert notes_beside(desk, 6.5)[-1] == (5.7, Note.LOW_A)


def test_a_tune_that_stands_keeps_what_was_played_and_takes_in_no_more(desk: Desk) -> None:
    """The line ends where the tune paused."""
    desk.frames(1.0, 5.0)
    desk.strike(LOW_A)
    desk.frames(1.0, 6.0)
    desk.frames(5.0)
    assert notes_beside(desk, 15.0)[-2:] == [(6.0, Note.LOW_A), (6.98, None)]
    assert desk.live.freely(desk.clock()).now.note is Note.LOW_A


def test_a_take_tells_whether_a_metronome_kept_the_time(desk: Desk, tmp_path: Path) -> None:
    """Switched on or off while the tune runs, it ends the take and begins another: each is judged by one thing."""
    for rank, metronome in enumerate((False, True)):
        desk.strike(LOW_A)
        desk.frames(1.0, rank, metronome=metronome)
        desk.let(LOW_A)
        desk.frames(0.1, rank + 1.0, metronome=metronome)
    desk.live.close()
    assert [take.heading.metronome for take in takes_in(tmp_path)] == [False, True]


def test_a_second_time_round_replaces_the_first(desk: Desk) -> None:
    """From where the tune jumped to; what was played before that place stays."""
    desk.frames(1.0, 4.0)
    desk.strike(LOW_A)
    desk.frames(4.0, 5.0)
    desk.strike(B)
    desk.let(LOW_A)
    desk.frames(1.0, 6.0)
    notes = notes_beside(desk, 15.0)
    assert (5.0, Note.LOW_A) in notes
    assert all(note is not Note.LOW_A for at_s, note in notes if at_s > 6.01)
    assert notes[-1][1] is Note.B


def test_another_timing_clears_what_was_played(desk: Desk) -> None:
    """Its places would no longer be true."""
    desk.frames(1.0, 4.0)
    desk.strike(LOW_A)
    desk.frames(1.0, 5.0)
    desk.frames(0.1, 12.0, replace(TIMING, slow_down=4.0))
    assert min(at_s for at_s, _ in notes_beside(desk, 15.0)) == 12.0


def test_a_take_is_kept_from_the_run_that_it_was_played_to(desk: Desk, tmp_path: Path) -> None:
    """Which tune, in which timing, on what, and when in the tune: low A at 5.5 s, B at 6 s."""
    desk.frames(0.5, 5.0)
    desk.strike(LOW_A)
    desk.frames(0.5, 5.5)
    desk.strike(B)
    desk.let(LOW_A)
    desk.frames(1.0, 6.0)
    wait_until(lambda: desk.live.beside(7.0).kept.startswith("kept as "))
    desk.live.close()
    (take,) = takes_in(tmp_path)
    assert take.heading.tune is not None
    assert take.heading.tune.content == content_hash(TUNE)
    assert take.heading.timing == TIMING
    assert (take.heading.source, take.heading.known) == ("Feed", DEFAULT_MAP)
    notes = [(round(each.at_s, 2), each.note) for each in take.events if isinstance(each, Sounded)]
    assert notes == [(5.5, Note.LOW_A), (6.0, Note.B)]
    assert take.end_s == pytest.approx(6.98, abs=0.03)


def test_every_run_is_a_take_of_its_own(desk: Desk, tmp_path: Path) -> None:
    """A pause, a jump back and another timing each end one."""
    for position_s, timing in ((2.0, TIMING), (9.0, TIMING), (4.0, TIMING), (5.0, replace(TIMING, slow_down=3.0))):
        desk.strike(LOW_A)
        desk.frames(0.5, position_s, timing)
    desk.frames(0.1)
    desk.strike(B)
    desk.frames(0.5, 5.5, replace(TIMING, slow_down=3.0))
    desk.live.close()
    assert len(takes_in(tmp_path)) == 5


def test_a_note_held_when_the_run_begins_belongs_to_its_take(desk: Desk, tmp_path: Path) -> None:
    """It sounds from the take's beginning; yet holding alone begins no take."""
    desk.strike(LOW_A)
    desk.frames(1.0)
    desk.frames(1.0, 3.0)
    assert desk.live.beside(4.0).kept == ""
    desk.strike(B)
    desk.let(LOW_A)
    desk.frames(1.0, 4.0)
    desk.live.close()
    (take,) = takes_in(tmp_path)
    notes = [(round(each.at_s, 2), each.note) for each in take.events if isinstance(each, Sounded)]
    assert notes == [(3.0, Note.LOW_A), (4.0, Note.B)]


def test_free_play_and_listening_leave_no_take(desk: Desk, tmp_path: Path) -> None:
    """A tune that runs while nobody plays, and playing while no tune runs."""
    desk.frames(1.0, 3.0)
    desk.frames(0.1)
    desk.strike(LOW_A)
    desk.frames(1.0)
    desk.live.close()
    assert not takes_in(tmp_path)


def test_another_instrument_begins_another_take(desk: Desk, tmp_path: Path) -> None:
    """While the same run goes on; each take knows what it was played on."""
    desk.strike(LOW_A)
    desk.frames(1.0, 3.0)
    keys = PlayedKeys(KeyLayout.for_upper_hand(UpperHand.LEFT), Touch.CLOSED, CAPS, desk.sound.sound, desk.clock)
    desk.live.play_keys(keys)
    for finger in Finger:
        keys.move(KeyLayout.for_upper_hand(UpperHand.LEFT).scancode(finger), down=True)
    desk.frames(1.0, 4.0)
    assert desk.live.beside(5.0).now.state == ALL_CLOSED
    assert desk.live.beside(5.0).caps == CAPS
    desk.live.close()
    assert sorted(take.heading.source for take in takes_in(tmp_path)) == ["Feed", "the computer's keys"]
    assert {take.heading.known for take in takes_in(tmp_path)} == {DEFAULT_MAP, KEYS_MAP}


def test_a_folder_that_cannot_be_made_costs_one_line(tmp_path: Path) -> None:
    """Playing goes on, and the window is told; nothing claims that the take is in a file."""
    (tmp_path / "file").write_text("in the way")
    desk = Desk(tmp_path / "file" / "takes")
    desk.strike(LOW_A)
    desk.frames(1.0, 3.0)
    wait_until(lambda: "kept only until the program ends" in "".join(desk.live.troubles))
    shown = desk.live.beside(4.0)
    assert shown.kept == ""
    assert shown.now.note is Note.LOW_A
    desk.live.close()


def test_the_light_stays_on_between_messages_and_goes_out_in_the_end(desk: Desk) -> None:
    """It neither flickers nor flashes: a few seconds without any message put it out."""
    assert desk.live.freely(desk.clock()).light is Light.QUIET
    desk.strike(LOW_A)
    lights = []
    for _ in range(100):
        desk.frames(0.1)
        lights.append(desk.live.freely(desk.clock()).light)
    assert lights[0] is Light.ARRIVING
    assert lights[-1] is Light.QUIET
    assert sum(one is not after for one, after in pairwise(lights)) == 1


def test_nothing_is_said_while_nothing_is_listened_to() -> None:
    """No light, no words, no fault."""
    shown = LiveInput(None, LiveSound(), Clock()).beside(0.0)
    assert (shown.light, shown.words, shown.problem) == (Light.OFF, "", "")


def test_a_flood_is_taken_in_over_several_frames_and_nothing_is_lost(desk: Desk) -> None:
    """No frame takes in more than MOST_A_FRAME messages."""
    flood = [Timed(100.0 + rank / 1e4, NoteOn(0, 60 + rank % 20)) for rank in range(2 * MOST_A_FRAME + 10)]
    desk.feed.play(*flood)
    fetched = []
    for _ in range(4):
        desk.live.gather(None)
        fetched.append(desk.live.choice.fetched)
    assert fetched == [MOST_A_FRAME, MOST_A_FRAME, 10, 0]


def test_a_map_that_is_a_guess_says_how_sure_it_is() -> None:
    """The line says how to teach the map; the instrument is marked as one of notes."""
    desk = Desk(None)
    desk.live.choice.follow(desk.feed, None)
    desk.strike(LOW_A)
    desk.frames(0.1)
    shown = desk.live.freely(desk.clock())
    assert "% sure" in shown.problem
    assert shown.tells is Tells.NOTES


def test_a_note_outside_the_map_is_told(desk: Desk) -> None:
    """By its number."""
    desk.strike(40)
    desk.frames(0.1)
    desk.let(40)
    desk.frames(0.1)
    desk.strike(LOW_A)
    desk.frames(0.1)
    assert "MIDI note 40" in desk.live.freely(desk.clock()).problem


def test_a_keyboard_that_drops_keys_is_told() -> None:
    """After enough keys were pressed and never six at once."""
    desk = Desk(None)
    layout = KeyLayout.for_upper_hand(UpperHand.LEFT)
    keys = PlayedKeys(layout, Touch.CLOSED, CAPS, desk.sound.sound, desk.clock)
    desk.live.play_keys(keys)
    for _ in range(6):
        for finger in Finger:
            keys.move(layout.scancode(finger), down=True)
            keys.move(layout.scancode(finger), down=False)
    desk.frames(0.1)
    assert "drop keys" in desk.live.freely(desk.clock()).problem


def test_keys_sound_at_once_and_fall_silent_when_the_window_loses_them() -> None:
    """No frame lies between a key and its sound."""
    sounded: list[HoleState | None] = []
    layout = KeyLayout.for_upper_hand(UpperHand.LEFT)
    keys = PlayedKeys(layout, Touch.LIFTED, CAPS, sounded.append, Clock(1.0))
    keys.move(layout.scancode(Finger.LOWER_LITTLE), down=True)
    assert sounded[-1] == chart(Note.LOW_A)
    keys.let_go()
    assert sounded[-1] is None


def test_live_settings_reach_no_voice_before_there_is_a_device() -> None:
    """Sound without a loudspeaker is no error."""
    sound = LiveSound()
    sound.use(SoundSettings(), LatencyMode.STREAMING)
    sound.sound(chart(Note.E))
    sound.close()
    assert sound.trouble == ""


@pytest.mark.parametrize(("slow_down", "held_on"), [(1.0, False), (32.0, True)])
def test_a_note_is_stuck_by_the_tempo_of_the_tune_that_runs(desk: Desk, slow_down: float, held_on: bool) -> None:
    """As in the take of it that is read back: so many crotchets as it is seconds at speed; free play has no tempo."""
    timing = Timing(slow_down=slow_down)
    desk.frames(0.1, 0.0, timing)
    desk.strike(LOW_A)
    desk.frames(0.1, 0.1, timing)
    desk.clock.now_s += STUCK_AFTER_S
    desk.frames(0.1, 0.2 + STUCK_AFTER_S, timing)
    assert (desk.live.freely(desk.clock()).now.note is not None) == held_on
    desk.frames(0.1)
    desk.frames(0.1)
    assert desk.live.freely(desk.clock()).now.note is None
