"""A microphone in the window: chosen, followed, learnt, remembered; by answers that its process would give."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import pytest

from companion.midi.maps.memory import PortMemory, read_memory, write_memory
from companion.midi.maps.note_map import DEFAULT_MAP
from companion.window.classroom.class_input import ClassInput
from companion.window.core.actions import Action
from companion.window.core.screen import ScreenResult
from companion.window.lanes.played_in import LEVEL_STEPS, Light, Tells
from companion.window.lanes.told import EarSettings
from companion.window.live.microphone.level import CLIPPED_FOR_S, EVERY_S, CalmLevel, steps_of
from companion.window.live.microphone.voice_files import read_voice, voice_path, write_voice
from companion.window.live.microphone.voice_lesson import ONE_MOMENT, VoiceLesson
from companion.window.live.microphone.words import TOO_LOUD
from companion.window.live.sound import LiveSound
from companion.window.play.instrument_screen import InstrumentScreen
from companion.window.play.learn_screen import LearnScreen
from fingering.errors import UserError
from fingering.holes import HoleState
from fingering.notes import Note
from tests.companion.hearing.microphone.room import some_take, voice_of
from tests.companion.sound.loudspeaker import wait_until
from tests.companion.window.live.microphone.listed import DESK, HEAD, MicrophoneDesk
from tests.companion.window.microphone_scenes import playing_at


def shown(desk: MicrophoneDesk) -> str:
    """What stands above the lanes."""
    return desk.live.freely(desk.clock()).words


def in_frames(desk: MicrophoneDesk, happened: Callable[[], bool]) -> None:
    """Frame after frame until something has happened."""

    def frame() -> bool:
        desk.live.gather(None)
        return happened()

    wait_until(frame)


def test_nothing_looks_for_microphones_before_one_is_asked_for(tmp_path: Path) -> None:
    """It costs a process; the list of instruments, a name that is asked for and one that was used last do."""
    desk = MicrophoneDesk(tmp_path)
    desk.live.gather(None)
    microphones = desk.instruments.microphones
    before = microphones.names
    microphones.look()
    assert (before, microphones.names) == ((), (DESK, HEAD))


def test_each_state_is_said_in_a_few_plain_words(tmp_path: Path) -> None:
    """From asking for it to its notes; the light tells whether it is there."""
    desk = MicrophoneDesk(tmp_path)
    desk.live.listen_to_microphone(DESK)
    desk.live.gather(None)
    assert (shown(desk), desk.live.freely(desk.clock()).light) == (f"waiting for {DESK}", Light.AWAY)
    said = []
    for state, share in (("waiting", 0.0), ("learning", 0.43), ("learning", 0.48), ("waiting", 1.0), ("hearing", 1.0)):
        desk.state(state, share)
        desk.live.gather(None)
        said.append(shown(desk))
    assert said == [
        "play a few notes: your chanter is learnt",
        *["learning your chanter, 40%: play on"] * 2,  # in whole tenths: it does not flicker
        *[f"listening to {DESK}"] * 2,  # by a voice that was kept, before and after it sounds
    ]
    played = desk.live.freely(desk.clock())
    assert (played.light, played.tells) == (Light.QUIET, Tells.NOTES)


def test_a_note_lies_where_it_began_though_it_is_told_later(tmp_path: Path) -> None:
    """By the default note map, like a port's, and silence after it."""
    desk = MicrophoneDesk(tmp_path)
    desk.live.listen_to_microphone(DESK)
    desk.state("hearing")
    desk.hears(Note.C, 99.93)
    desk.hears(None, 99.97)
    desk.live.gather(None)
    assert [(each.at_s, each.note) for each in desk.live.freely(100.0).moments] == [(99.93, Note.C), (99.97, None)]
    assert desk.live.choice.known == DEFAULT_MAP


def test_what_a_microphone_hears_is_never_sounded(tmp_path: Path) -> None:
    """It would hear that again."""
    sounded: list[HoleState | None] = []

    class Listened(LiveSound):
        """A live sound that tells what it sounds."""

        def sound(self, state: HoleState | None) -> None:
            sounded.append(state)

    desk = MicrophoneDesk(tmp_path, sound=Listened())
    desk.live.listen_to_microphone(DESK)
    desk.state("hearing")
    desk.hears(Note.E)
    desk.live.gather(None)
    assert desk.live.freely(desk.clock()).now.note is Note.E
    desk.live.listen_to(None)
    assert set(sounded) == {None}


def test_one_that_is_too_loud_or_gone_is_told_and_what_to_do(tmp_path: Path) -> None:
    """Too loud can be read for a while; one that goes says so in its own words."""
    desk = MicrophoneDesk(tmp_path)
    desk.live.listen_to_microphone(DESK)
    desk.state("hearing", clipped=True)
    desk.live.gather(None)
    desk.state("hearing", clipped=False)
    desk.live.gather(None)
    assert desk.live.freely(desk.clock()).problem == TOO_LOUD
    desk.clock.now_s += CLIPPED_FOR_S
    desk.live.gather(None)
    assert desk.live.freely(desk.clock()).problem == ""
    desk.answer("lost", "Desk microphone is gone", "plug it in again")
    desk.live.gather(None)
    played = desk.live.freely(desk.clock())
    assert (played.light, played.level) == (Light.AWAY, None)
    assert "plug it in again" in played.problem


@pytest.mark.parametrize("connected", [False, True])
def test_one_that_refuses_says_so_and_one_that_is_not_connected_is_waited_for(tmp_path: Path, connected: bool) -> None:
    """The line is for whoever chose it; nobody needs to read it of a microphone that was used the last time."""
    desk = MicrophoneDesk(tmp_path, names=(DESK,) if connected else ())
    desk.live.listen_to_microphone(DESK)
    desk.answer("refused", f"{DESK} cannot be opened", "close other programs that use it")
    desk.live.gather(None)
    assert shown(desk) == f"waiting for {DESK}"
    assert ("close other programs" in desk.live.freely(desk.clock()).problem) is connected


def test_the_level_is_calm() -> None:
    """Sixty frames a second of a level that jumps give no more than two changes in a second."""
    level, seen = CalmLevel(), []
    for frame in range(240):
        level.follow(-12.0 if frame % 3 else -60.0, frame / 60.0, clipped=False)
        seen.append(level.steps)
    changes = sum(one != after for one, after in pairwise(seen))
    assert changes <= 4.0 / EVERY_S
    assert seen[-1] == steps_of(-12.0)


@pytest.mark.parametrize(("level_db", "steps"), [(float("-inf"), 0), (-70.0, 0), (-54.0, 1), (-30.0, 3), (0.0, 6)])
def test_louder_lights_more_steps(level_db: float, steps: int) -> None:
    """From silence to the loudest that there can be."""
    level = CalmLevel()
    level.follow(level_db, 10.0, clipped=False)
    assert level.steps == steps <= LEVEL_STEPS


def test_the_one_used_last_is_listened_to_again(tmp_path: Path) -> None:
    """As a port is; once it has been there."""
    desk = MicrophoneDesk(tmp_path)
    desk.live.listen_to_microphone(HEAD)
    desk.live.gather(None)
    assert desk.instruments.last_microphone is None
    desk.state("waiting")
    desk.live.gather(None)
    desk.live.close()
    assert read_memory(tmp_path).last_microphone == HEAD
    assert MicrophoneDesk(tmp_path).source.name == HEAD


def test_once_nothing_is_chosen_no_microphone_is_opened_by_itself(tmp_path: Path) -> None:
    """Nor when the program is started again: who chose to be heard no longer is not heard."""
    desk = MicrophoneDesk(tmp_path)
    desk.live.listen_to_microphone(HEAD)
    desk.state("waiting")
    desk.live.gather(None)
    screen = InstrumentScreen(playing_at(desk))
    screen.choose(screen.row_count() - 1)
    desk.live.gather(None)
    assert desk.system.orders[-1] == ("close", 0)
    desk.live.close()
    assert MicrophoneDesk(tmp_path).live.choice.microphone is None


def test_a_name_that_fits_no_port_means_a_microphone(tmp_path: Path) -> None:
    """Whole or in part, in any case; what fits neither is told, and waited for."""
    desk = MicrophoneDesk(tmp_path)
    desk.live.listen_to("desk")
    assert desk.source.name == DESK
    desk.live.listen_to("organ")
    assert desk.live.choice.microphone is None
    assert "nor such a microphone" in desk.live.freely(desk.clock()).problem


def test_the_computers_keys_give_way_to_the_same_microphone(tmp_path: Path) -> None:
    """And what rests while a class plays is taken up again."""
    desk = MicrophoneDesk(tmp_path)
    desk.live.listen_to_microphone(DESK)
    go_on = desk.live.rest()
    assert desk.live.choice.name == ""
    go_on()
    assert desk.source.name == DESK
    assert len(desk.system.sources) == 2


VOICE = b"a voice as bytes"


def test_a_voice_that_is_kept_is_used_the_next_time(tmp_path: Path) -> None:
    """By the microphone's name; another one learns by itself."""
    voice = voice_of(some_take())
    desk = MicrophoneDesk(tmp_path)
    desk.live.listen_to_microphone(DESK)
    desk.state("hearing")
    desk.live.gather(None)
    desk.learns(voice)
    desk.live.keep_learnt()
    assert desk.instruments.microphones.has_voice(DESK)
    assert not desk.instruments.microphones.has_voice(HEAD)
    desk.live.close()
    again = MicrophoneDesk(tmp_path)
    in_frames(again, lambda: any(order[0] == "keep" for order in again.system.orders))
    assert read_voice(tmp_path, DESK) == voice
    again.live.listen_to_microphone(HEAD)
    again.live.gather(None)
    assert sum(order[0] == "keep" for order in again.system.orders) == 1


def test_a_spoilt_voice_costs_a_line_and_is_set_aside(tmp_path: Path) -> None:
    """The microphone is listened to all the same, and the next voice is kept."""
    write_memory(PortMemory(), tmp_path)
    write_voice(tmp_path, DESK, b"nothing of the kind")
    desk = MicrophoneDesk(tmp_path)
    desk.live.listen_to_microphone(DESK)
    desk.state("waiting", 0.0)
    in_frames(desk, lambda: bool(problem_of(desk)))
    assert "cannot be read" in problem_of(desk)
    assert not voice_path(tmp_path, DESK).exists()
    assert [each.name for each in (tmp_path / "voices").iterdir()] == [f"{voice_path(tmp_path, DESK).name}.unreadable"]
    assert shown(desk) == "play a few notes: your chanter is learnt"


def problem_of(desk: MicrophoneDesk) -> str:
    """The line about what is wrong."""
    return desk.live.freely(desk.clock()).problem


def test_a_voice_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    """A file stands where the folder should be."""
    (tmp_path / "voices").write_text("")
    with pytest.raises(UserError, match="cannot be kept"):
        write_voice(tmp_path, DESK, VOICE)
    desk = MicrophoneDesk(tmp_path)
    desk.live.listen_to_microphone(DESK)
    desk.learns(VOICE)
    desk.live.keep_learnt()
    in_frames(desk, lambda: any("cannot be kept" in line for line in desk.live.troubles))


def test_names_that_differ_in_signs_have_files_of_their_own(tmp_path: Path) -> None:
    """Whatever a microphone is called."""
    names = ("Mic: one", "Mic one", "мик", "../../etc", "", "x" * 5000)
    paths = {voice_path(tmp_path, name) for name in names}
    assert len(paths) == len(names)
    assert {path.parent for path in paths} == {tmp_path / "voices"}
    assert max(len(path.name) for path in paths) < 64


def test_a_scale_is_learnt_once_and_kept_when_that_is_asked_for(tmp_path: Path) -> None:
    """Its notes are ticked as they are heard; what is no scale is told; Enter keeps it, and nothing before."""
    desk = MicrophoneDesk(tmp_path)
    desk.live.listen_to_microphone(DESK)
    desk.state("hearing")
    desk.live.gather(None)
    screen = LearnScreen(playing_at(desk), lesson := VoiceLesson())
    assert desk.system.orders[-1] == ("scale", 0, True)
    desk.scale(8)
    screen.tick()
    assert lesson.learnt() == (*["heard"] * 8, "")
    desk.scale(0, "begin again on low G")
    screen.tick()
    assert (lesson.learnt(), lesson.what_to_do) == (("",) * 9, "begin again on low G")
    desk.scale(9)
    screen.tick()
    assert (screen.finished, lesson.what_to_do) == (False, ONE_MOMENT)
    desk.scale(9, done=True)
    desk.learns(VOICE)
    screen.tick()
    assert screen.finished
    assert not voice_path(tmp_path, DESK).exists()
    assert screen.act(Action.CHOOSE) is ScreenResult.CLOSE
    screen.close()
    assert desk.system.orders[-1] == ("scale", 0, False)
    desk.live.close()
    assert voice_path(tmp_path, DESK).read_bytes() == VOICE


def test_one_of_a_class_may_sit_at_a_microphone(tmp_path: Path) -> None:
    """It is a seat as a port is, once the list of players was opened, and is remembered by its name."""
    desk = MicrophoneDesk(tmp_path)
    room = ClassInput(lambda: desk.instruments, None, desk.clock)
    before = len(room.seats)
    room.look()
    seats = room.seats
    assert (before, [seat.words for seat in seats]) == (0, [DESK, HEAD])
    room.seat(seats[0], "Anna")
    desk.system.sources[0].answered(["state", 0, "hearing", 1.0, -20.0, False])
    desk.system.sources[0].answered(["heard", 0, 100.0, Note.D.letter, 0.9])
    room.gather(None, EarSettings())
    (anna,) = room.learners
    assert (anna.learner, anna.freely(100.0).now.note) == ("Anna", Note.D)
    room.close()
    assert ("close", 0) in desk.system.orders
    again = ClassInput(lambda: desk.instruments, None, desk.clock)
    again.gather(None, EarSettings())
    assert [live.learner for live in again.learners] == ["Anna"]
    again.close()
