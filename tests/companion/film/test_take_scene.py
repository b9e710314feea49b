"""A take as a film: its findings are said in words that can be read, and nothing jumps."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from companion.film.scene import STILL_S
from companion.film.take_scene import BEFORE_S, LEAST_READ_S, LONGEST_SHOWN_S, TakeScene, said_findings
from companion.hearing.takes.sound_take import hear_take_sound, recorded_take
from companion.sound.settings import SAMPLE_RATE_HZ, SoundSettings
from companion.window.core.marks import ChanterBody, Label, Picture, Role
from companion.window.takes.take_state import TakeState, open_take, with_sound
from tests.companion.hearing.takes.short import heard_short, short_recording
from tests.companion.window import scenes
from tests.companion.window.takes.reviewing import FAULTLESS, MANY_SLIPS, THREE_SLIPS, Slips, canvas, reviewed

SIZE = (1280, 720)


def take_scene(slips: Slips, slow_down: float = 1.0) -> tuple[TakeScene, TakeState]:
    """The film of a learner's take, and the state of its review."""
    state = replace(reviewed(slips).state, take_slow_down=slow_down)
    return TakeScene(state, SoundSettings(), canvas(SIZE)), state


def said_in(picture: Picture) -> str:
    """The finding that is said."""
    said = [mark.text for mark in picture.moving if isinstance(mark, Label) and mark.role is Role.FAULT]
    return " ".join(said)


@pytest.mark.parametrize("slow_down", [1.0, 2.0])
def test_each_finding_is_said_when_it_comes_to_the_chanter(slow_down: float) -> None:
    """From a moment before on, however slowly the take is played back; before that nothing is."""
    scene, state = take_scene(THREE_SLIPS, slow_down)
    assert state.review is not None
    assert len(state.review.findings) == 3
    for finding in state.review.findings:
        heard_s = STILL_S + (finding.at_s - state.begin_s) * slow_down
        assert said_in(scene.picture(heard_s)) == finding.text
    first_s = STILL_S + (state.review.findings[0].at_s - state.begin_s) * slow_down
    assert said_in(scene.picture(first_s - BEFORE_S - 0.05)) == ""


def test_a_sentence_stays_long_enough_to_be_read() -> None:
    """Findings that come too soon after one are not said; of none is a sentence shown longer than needed."""
    said = said_findings([1.0, 1.5, 2.9, 3.1, 20.0])
    assert [each.rank for each in said] == [0, 3, 4]
    for one, after in pairwise(said):
        assert LEAST_READ_S <= one.to_s - one.from_s <= LONGEST_SHOWN_S
        assert one.to_s <= after.from_s
    assert said_findings([]) == ()


def test_nothing_jumps_and_no_key_is_shown() -> None:
    """The chanter stands still through a take of many findings; nothing can be clicked."""
    scene, _ = take_scene(MANY_SLIPS)
    chanters = set()
    for at_s in range(0, 40, 2):
        picture = scene.picture(float(at_s))
        chanters.add(next(mark for mark in picture.moving if isinstance(mark, ChanterBody)))
        assert not picture.targets
        assert picture.foot is None
    assert len(chanters) == 1


def test_a_take_without_faults_says_so() -> None:
    """In large words, and what went well."""
    scene, state = take_scene(FAULTLESS)
    assert state.review is not None
    words = "\n".join(label.text for label in scenes.labels(scene.picture(5.0)))
    assert "Nothing to mend" in words


def test_the_film_lasts_as_long_as_the_take() -> None:
    """A film sounds a take from its beginning, after a moment of stillness, and lasts as long."""
    scene, state = take_scene(THREE_SLIPS, 2.0)
    length_s = (state.take.end_s - state.begin_s) * 2.0
    assert scene.length_s == pytest.approx(STILL_S + length_s + 2.0)
    assert scene.renderer.frame == -round(STILL_S * 48_000)


def test_a_film_of_a_recording_sounds_as_it_did(tmp_path: Path) -> None:
    """The recording itself after the time that stands still, and not what was heard in it."""
    short = short_recording()
    heard_short()
    sounding = hear_take_sound(recorded_take(short.write(tmp_path / "take.wav"), short.tune))
    state = with_sound(open_take(sounding.take, (short.tune,)), sounding)
    scene = TakeScene(state, SoundSettings(), canvas())
    scene.renderer.seek(-0.1)
    made = scene.renderer.render(3 * SAMPLE_RATE_HZ)[4_800:, 0]
    samples = short.samples[: len(made)]
    loud = float(np.abs(made).max() / np.abs(samples).max())
    assert np.allclose(made, loud * samples, atol=1e-3)
