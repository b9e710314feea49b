"""A recording in review: heard, judged and played back as a take is, with what is unsure drawn as unsure."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import soundfile

from companion.hearing.heard import SoundTrouble
from companion.hearing.takes.recordings import RecordingFile
from companion.hearing.takes.sound_take import SoundTake, hear_take_sound, recorded_take
from companion.lesson.progress.book import ProgressBook
from companion.lesson.progress.recorded import take_in_recording
from companion.listen.judgement import judge
from companion.midi.takes.reading import Listing, Take
from companion.schedule.events import Schedule
from companion.score.model import Tune
from companion.sound.player import SilentPlayer
from companion.sound.recorded_line import RecordedLine, RecordedSound
from companion.window.core.actions import Action, Seek
from companion.window.core.marks import Role, Rule, Stripe
from companion.window.lanes.played_marks import broken_line
from companion.window.takes.recorded.take_sound import playback_gain
from companion.window.takes.take_screen import Count, TakeScreen
from companion.window.takes.take_state import SoundedSide, heard_schedule, open_take, with_sound
from companion.window.takes.takes_screen import TakesScreen
from tests.companion.hearing.takes.short import RATE_HZ, heard_short, short_recording
from tests.companion.window.players import Clock
from tests.companion.window.takes.reviewing import canvas, words_of

pytestmark = pytest.mark.same_everywhere


class NotedPlayer(SilentPlayer):
    """A silent player that notes what it was given."""

    def __init__(self, clock: Clock) -> None:
        super().__init__(clock)
        self.given: list[tuple[Schedule, RecordedSound | None]] = []

    def load(self, schedule: Schedule, at_s: float = 0.0, recorded: RecordedSound | None = None) -> None:
        """Load, and note it."""
        self.given.append((schedule, recorded))
        super().load(schedule, at_s, recorded)


@pytest.fixture(scope="module")
def path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The short recording as a file, heard before."""
    heard_short()
    return short_recording().write(tmp_path_factory.mktemp("recording") / "take.wav")


@pytest.fixture(scope="module")
def heard(path: Path) -> SoundTake:
    """The recording as a take that was heard."""
    return hear_take_sound(recorded_take(path, short_recording().tune))


def opened(take: Take, player: SilentPlayer | None = None, count: Count | None = None) -> TakeScreen:
    """The review of a take."""
    state = open_take(take, (short_recording().tune,))
    return TakeScreen(state, player or SilentPlayer(Clock()), lambda: None, count=count)


def reviewed(path: Path, player: SilentPlayer | None = None, count: Count | None = None) -> TakeScreen:
    """The review of the recording, once it was heard and judged."""
    screen = opened(recorded_take(path, short_recording().tune), player, count)
    screen.finish_review()
    return screen


def test_a_recording_is_reviewed_as_its_take_in_midi_is(path: Path) -> None:
    """The same places to mend, in lanes and verdict."""
    screen, short = reviewed(path), short_recording()
    review = screen.state.review
    assert review is not None
    expected = judge(short.tune, short.events).findings
    assert [(each.kind, each.played) for each in review.findings] == [(each.kind, each.played) for each in expected]
    assert review.matters
    assert review.heard is not None
    assert len(screen.state.moments) > 30
    assert "hear mine" in words_of(screen.picture(canvas()))


def test_while_it_is_heard_the_screen_says_how_far_that_is(path: Path) -> None:
    """And the recording can be played already, with its whole length."""
    player = NotedPlayer(Clock())
    take = recorded_take(path, short_recording().tune)
    screen = opened(take, player)
    screen.state = replace(screen.state, hearing_share=0.37)
    told = words_of(screen.picture(canvas()))
    assert "37 %" in told
    assert "of the recording was heard" in told
    schedule, recorded = player.given[-1]
    assert recorded is not None
    assert schedule.duration_s == pytest.approx(take.end_s)
    screen.finish_review()
    assert "%" not in words_of(screen.picture(canvas()))


def test_what_is_heard_is_the_recording_slowed_as_the_take(path: Path) -> None:
    """In step with the lanes: at each moment of the schedule that the player has, the recording is at that moment of
    the take. What was asked sounds as ever."""
    player = NotedPlayer(Clock())
    screen = reviewed(path, player)
    screen.act(Action.HEAR_MINE)
    state = screen.state
    schedule, recorded = player.given[-1]
    assert recorded is not None
    assert recorded.slow_down == state.slow_down > 1.0
    assert schedule == heard_schedule(state)
    assert state.loop is not None
    at_s = state.loop.start_s - state.begin_s
    line, out = RecordedLine(schedule, replace(recorded, slow_down=1.0, gain=1.0)), np.zeros(4_800, np.float32)
    line.add_to(out, round(at_s * RATE_HZ))
    first = round(state.loop.start_s * RATE_HZ)
    assert np.allclose(out, short_recording().samples[first : first + 4_800], atol=1e-4)
    screen.act(Action.HEAR_RIGHT)
    assert screen.state.sounding is SoundedSide.ASKED
    assert player.given[-1][1] is None


def test_a_soft_recording_is_played_louder(path: Path, heard: SoundTake) -> None:
    """Up to where its greatest sample is full, and not without end."""
    player = NotedPlayer(Clock())
    screen = reviewed(path, player)
    recorded = player.given[-1][1]
    assert recorded is not None
    assert recorded.gain == pytest.approx(1.0 / 0.5, rel=0.01)
    faint = with_sound(screen.state, replace(heard, greatest=0.001))
    assert playback_gain(faint) == 8.0


def test_a_recording_gets_no_louder_while_it_plays(path: Path, heard: SoundTake) -> None:
    """What is played before it was heard goes on as loud as it was; the next time that it is played it is louder."""
    player = NotedPlayer(Clock())
    screen = opened(recorded_take(path, short_recording().tune), player)
    screen.act(Action.PLAY)
    screen.finish_review()
    assert screen.state.by_sound
    assert [recorded.gain for _, recorded in player.given if recorded] == [1.0] * len(player.given)
    screen.act(Action.PLAY)
    assert player.given[-1][1] is not None
    assert player.given[-1][1].gain == pytest.approx(1.0 / heard.greatest)


def test_what_is_unsure_is_drawn_broken_and_named(path: Path, heard: SoundTake) -> None:
    """Not by another colour: in pieces; what is sure is one whole line."""
    notes = heard.heard.notes
    doubtful = tuple(replace(each, confidence=0.4) if rank == 10 else each for rank, each in enumerate(notes))
    screen = reviewed(path)
    assert "not heard surely" not in words_of(screen.picture(canvas()))
    unsure = replace(heard, heard=replace(heard.heard, notes=doubtful))
    screen.state = replace(with_sound(screen.state, unsure), review=screen.state.review)
    screen.act(Seek(notes[10].at_s))
    picture = screen.picture(canvas())
    assert "not heard surely" in words_of(picture)
    pieces = [each for each in picture.moving if isinstance(each, Rule) and each.role is Role.PLAYED]
    layout = screen._view_for(canvas()).layout(screen.state, canvas().display, 1280, 720)
    in_lanes = [each for each in pieces if each.y0 > layout.lane_ys[0]]
    assert len(in_lanes) > 8
    sure = [each for each in picture.moving if isinstance(each, Stripe) and each.role is Role.PLAYED]
    x0 = layout.now_x
    x1 = layout.now_x + notes[10].length_s * layout.px_per_s
    assert all(each.x1 <= x0 + 1 or each.x0 >= x1 - 1 for each in sure)
    assert all(x0 - 1 <= each.x0 <= each.x1 <= x1 + 1 for each in in_lanes)


def test_a_broken_line_ends_where_a_whole_one_would() -> None:
    """However short it is."""
    for length in (1.0, 7.0, 100.0):
        pieces = [*broken_line(5.0, 5.0 + length, 0.0, 4.0)]
        assert pieces[0].x0 == 5.0
        assert pieces[-1].x1 == pytest.approx(5.0 + length)
        assert all(one.x1 < after.x0 for one, after in pairwise(pieces))


def test_what_makes_it_hard_to_hear_is_said(path: Path, heard: SoundTake, monkeypatch: pytest.MonkeyPatch) -> None:
    """And what could not be judged for it stands in the verdict."""
    noisy = replace(heard, heard=replace(heard.heard, troubles=(SoundTrouble.NOISY,)))
    from companion.window.takes.recorded import take_sound

    monkeypatch.setattr(take_sound, "hear_take_sound", lambda *_: noisy)
    screen = reviewed(path)
    assert SoundTrouble.NOISY.value in words_of(screen.picture(canvas((1920, 1080))))
    assert screen.state.review is not None
    assert screen.state.review.verdict is not None
    assert any("Gracenotes" in each for each in screen.state.review.verdict.not_judged)
    assert not any("gracenote" in each for each in screen.state.review.verdict.went_well)


def test_a_recording_without_a_chanter_is_refused_in_words(tmp_path: Path) -> None:
    """It can be played back all the same."""
    soundfile.write(tmp_path / "silent.wav", np.zeros(RATE_HZ, np.float32), RATE_HZ)
    player = NotedPlayer(Clock())
    screen = reviewed(tmp_path / "silent.wav", player)
    assert "nothing is to be heard" in words_of(screen.picture(canvas((1920, 1080))))
    assert screen.state.review is not None
    assert screen.state.review.refusal
    assert player.given[-1][1] is not None


def test_a_take_by_microphone_is_judged_by_its_sound(path: Path, tmp_path: Path) -> None:
    """What was told while it was played is shown until then; its sound is heard from where the take begins."""
    short = short_recording()
    heading = replace(recorded_take(path, short.tune).heading, source="Microphone", sound_starts_s=0.2)
    soundfile.write(tmp_path / "take.flac", short.samples, RATE_HZ)
    told = short.events[:5]
    player = NotedPlayer(Clock())
    screen = opened(Take(heading, (), told, 20.0, tmp_path / "take.mid"), player)
    assert len(screen.state.moments) == 5
    screen.finish_review()
    assert len(screen.state.moments) > 30
    assert screen.state.moments[0].at_s == pytest.approx(heard_short().notes[0].at_s - 0.2)
    recorded = player.given[-1][1]
    assert recorded is not None
    assert recorded.starts_s == pytest.approx(0.2)


@pytest.fixture
def book(tmp_path: Path) -> Iterator[ProgressBook]:
    """A learner's progress."""
    opened_book = ProgressBook(tmp_path / "progress.sqlite")
    yield opened_book
    opened_book.close()


def test_a_recording_counts_once_as_a_take(path: Path, book: ProgressBook, tmp_path: Path) -> None:
    """Of the tune that it was reviewed beside; under another name it is the same recording."""
    counted: list[tuple[SoundTake, Tune]] = []
    screen = reviewed(path, count=lambda *each: counted.append(each))
    screen.act(Action.STRICTNESS)
    screen.finish_review()
    assert len(counted) == 1
    sounding, tune = counted[0]
    now = datetime.now(UTC)
    assert take_in_recording(book, "Ann", sounding, tune, (), now)
    again = hear_take_sound(recorded_take(short_recording().write(tmp_path / "take.wav"), tune))
    assert not take_in_recording(book, "Ann", again, tune, (), now)
    account = book.account("Ann", now)
    assert account.takes == 1


def test_recordings_stand_in_the_list_of_takes(tmp_path: Path) -> None:
    """With the tune beside which they are played back."""
    played: list[object] = []
    recording = RecordingFile(tmp_path / "a phone's.m4a", datetime(2026, 1, 2, tzinfo=UTC))
    screen = TakesScreen(Listing((), ()), "~/takes", played.append, (), (recording,), "A Tune")
    told = words_of_list(screen)
    assert "a phone's.m4a" in told
    assert "a recording, beside A Tune" in told
    screen.choose(0)
    assert played == [recording]


def words_of_list(screen: TakesScreen) -> str:
    """All that a list says."""
    picture = screen.picture(canvas((1920, 1080)))
    return "\n".join(getattr(mark, "text", "") for mark in picture.still)
