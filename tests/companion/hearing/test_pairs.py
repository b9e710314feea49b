"""Two players at once: told where each sounds a note of its own, and not where they play together."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from companion.hearing.hear import hear_samples
from companion.hearing.heard import HeardSound, SoundTrouble
from companion.hearing.intake.pairs import PairMeter
from companion.hearing.takes.judging import judge_heard
from fingering.errors import UserError
from tests.companion.listen.playing import tune_of
from tests.hearing.others import two_at_once
from tests.hearing.recording import RATE_HZ
from tests.hearing.sources.made import SoundSource, sounding, sounding_on
from tests.hearing.sources.tuned import draw_chanter
from tests.hearing.takes import learners_take

pytestmark = pytest.mark.same_everywhere

SEED, SECONDS, SOURCE = 53, 7.0, SoundSource.PRACTICE_VOICE
HOP_S = 0.01


def heard_of_two(later_s: float) -> HeardSound:
    """What is heard of two who play the same, the other so much later, on a chanter whose notes stray otherwise."""
    take = learners_take(SEED, SECONDS)
    own, others = (draw_chanter(seed, SOURCE.octave) for seed in (SEED, SEED + 1))
    other = sounding_on(replace(others, low_a_hz=own.low_a_hz, tuning=own.tuning), take, SOURCE)
    late = np.concatenate((np.zeros(round(later_s * RATE_HZ), np.float32), other.samples))
    both = two_at_once(sounding(take, SOURCE, SEED), replace(other, samples=late))
    return hear_samples(both.samples, RATE_HZ)


def test_a_round_is_told_and_not_judged() -> None:
    """Of two a second apart neither can be judged: that two play is said, and what to do."""
    heard = heard_of_two(1.0)
    assert SoundTrouble.TWO_PLAYERS in heard.troubles
    with pytest.raises(UserError, match=r"two players .* not judged; record one alone"):
        judge_heard(tune_of("A2{g}B2c2d2|e2f2e2d2|"), heard)


def test_two_in_unison_are_no_two_players() -> None:
    """Thirty milliseconds apart, as a class plays together."""
    assert SoundTrouble.TWO_PLAYERS not in heard_of_two(0.03).troubles


def test_what_sounds_at_once_must_last() -> None:
    """Two notes for half a second in each second count; what fades for 0.1 s under the next note, as in a room, and
    what sounds all the time do not."""
    notes = np.eye(9, 30, dtype=np.float32)
    ground = np.full(30, 0.5, np.float32)
    one, other = notes[2], notes[5]
    alone, both = np.tile(one, (50, 1)), np.tile(one + 0.5 * other, (50, 1))
    fading = np.tile(one, (50, 1)) + other * 10.0 ** (-np.arange(50) / 10.0)[:, np.newaxis]
    shares = []
    for parts in ((alone, both), (alone, fading)):
        meter = PairMeter(notes, ground, HOP_S)
        for part in parts * 3:
            meter.take_in((part + ground).astype(np.float32))
        shares.append(meter.share)
    assert shares == [pytest.approx(0.5, abs=0.01), 0.0]
