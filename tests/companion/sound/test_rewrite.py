"""A player that goes on in a tune which was written anew: without a stop, at the place that it is told."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from companion.schedule.practice.rounds import Repeat, Rest
from companion.schedule.spans import Span
from companion.sound.player import SilentPlayer
from companion.sound.settings import SoundSettings
from companion.sound.sounding_player import SoundingPlayer
from tests.companion.sound.hearing import cents, peak_hz
from tests.companion.sound.loudspeaker import Loudspeaker, open_loudspeaker, wait_until
from tests.companion.sound.test_player import CHANTER_ALONE, _schedule, _steepest
from tests.companion.window.players import Clock

LOW_A_HZ = 240.0
SLOW = 32.0
LONG, LONGER = "A c d e f e d c", "f f A c d e f e d c"
"""Tunes of 2 s, and of half a second more."""


@pytest.fixture
def clock() -> Clock:
    """A clock that is moved by hand."""
    return Clock()


@pytest.fixture
def player(clock: Clock) -> SilentPlayer:
    """A player that runs, without sound, on a tune of 2 s."""
    silent = SilentPlayer(clock)
    silent.load(_schedule(LONG))
    silent.play()
    return silent


@pytest.fixture
def speaker(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Loudspeaker]:
    """A loudspeaker that writes down what it plays."""
    with open_loudspeaker(tmp_path, monkeypatch) as opened:
        yield opened


def test_it_runs_on_at_the_place_that_it_is_told(player: SilentPlayer, clock: Clock) -> None:
    """Not a moment is lost, and none played twice."""
    clock.now_s += 0.25
    player.rewrite(_schedule(LONGER), lambda at_s: at_s + 0.5, None)
    assert player.playing
    assert player.position_s() == pytest.approx(0.75)
    clock.now_s += 0.1
    assert player.position_s() == pytest.approx(0.85)


def test_what_stood_stands(player: SilentPlayer, clock: Clock) -> None:
    """At its place in the new tune."""
    clock.now_s += 0.25
    player.pause()
    player.rewrite(_schedule(LONGER), lambda at_s: at_s + 0.5, None)
    clock.now_s += 1.0
    assert not player.playing
    assert player.position_s() == pytest.approx(0.75)


def test_the_metronome_counts_nothing_in_again(clock: Clock) -> None:
    """What is counted in is a start, and this is none."""
    silent = SilentPlayer(clock)
    silent.set_sound(SoundSettings(metronome_level=1.0))
    silent.load(_schedule(LONG))
    silent.play()
    assert silent.count is not None
    clock.now_s += silent.count.length_s + 0.25
    assert silent.count is None
    silent.rewrite(_schedule(LONG), lambda at_s: at_s, None)
    assert silent.count is None
    assert silent.position_s() == pytest.approx(0.25)


def test_a_repeat_goes_on_in_its_round(player: SilentPlayer, clock: Clock) -> None:
    """In the stretch as it is now; the rounds that went before count, and so does a rest that goes on."""
    player.repeat(Repeat((Span(0.0, 0.5),), Rest.BEAT))
    clock.now_s += 2 * 1.0 + 0.25
    assert player.going is not None
    assert player.going.done == 2
    player.rewrite(_schedule(LONGER), lambda at_s: at_s + 0.5, Repeat((Span(0.5, 1.0),), Rest.BEAT))
    assert player.going.done == 2
    assert player.position_s() == pytest.approx(0.75)
    clock.now_s += 0.5
    assert player.going.resting
    player.rewrite(_schedule(LONG), lambda at_s: at_s - 0.5, Repeat((Span(0.0, 0.5),), Rest.BEAT))
    assert player.going.resting
    clock.now_s += 0.3
    assert player.going.done == 3
    assert player.position_s() == pytest.approx(0.05)


@pytest.mark.parametrize("wanted", [None, Repeat((Span(0.0, 0.5), Span(0.5, 1.0)))])
def test_another_repeat_takes_the_place_of_the_old(player: SilentPlayer, clock: Clock, wanted: Repeat | None) -> None:
    """Of more rounds, or of none: the place is that which was told."""
    player.set_loop(Span(0.0, 0.5))
    clock.now_s += 0.75
    player.rewrite(_schedule(LONG), lambda at_s: at_s + 0.4, wanted)
    assert player.position_s() == pytest.approx(0.65)
    assert (player.loop is None) == (wanted is None)


def test_the_sound_goes_on_without_a_click(speaker: Loudspeaker) -> None:
    """The note that sounds is the same in both tunes, and nothing of the change is heard."""
    player = SoundingPlayer(speaker.device, CHANTER_ALONE)
    player.load(_schedule("A e", SLOW))
    player.play()
    wait_until(lambda: player.position_s() > 0.0)
    for later in ("A c", "A f", "A e"):
        speaker.play_on(4_096)
        player.rewrite(_schedule(later, SLOW), lambda at_s: at_s, None)
        assert player.playing
    speaker.play_on(9_600)
    player.close()
    assert player.trouble == ""
    if player.underruns == 0:
        heard = speaker.heard()
        assert _steepest(heard) <= 1.1 * _steepest(heard[1_000:4_000])
        quietest = min(np.abs(block.astype(int)).max() for block in np.array_split(heard[1_000:-2_000, 0], 60))
        assert quietest > 0.7 * np.abs(heard[1_000:4_000].astype(int)).max()
        assert abs(cents(peak_hz(heard[:, 0].astype(float), LOW_A_HZ), LOW_A_HZ)) < 3.0


def test_another_note_at_the_place_is_heard(speaker: Loudspeaker) -> None:
    """It goes on there, with what is written now."""
    player = SoundingPlayer(speaker.device, replace(CHANTER_ALONE, metronome_level=0.0))
    player.load(_schedule("A e", SLOW))
    player.play()
    speaker.comes_to(LOW_A_HZ)
    player.rewrite(_schedule("e A", SLOW), lambda at_s: at_s, None)
    speaker.comes_to(1.5 * LOW_A_HZ)
    player.close()
