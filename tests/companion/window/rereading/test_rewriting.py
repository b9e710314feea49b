"""The state in which a tune goes on that was written anew: whatever was written, it can be played on from there."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.schedule.spans import Extent
from companion.schedule.timing import Timing
from companion.score.abc import read_abc_text
from companion.score.model import Tune
from companion.sound.player import SilentPlayer
from companion.window.choose.book import can_be_played
from companion.window.play.handing import start
from companion.window.play.play_moves import REPEATS
from companion.window.play.play_state import first_state, respan
from companion.window.rereading.reread import TuneNow
from companion.window.rereading.rewriting import rewritten
from tests.companion.window.players import Clock

pytestmark = pytest.mark.same_everywhere

HEAD = "X:1\nT:Any\nM:2/4\nL:1/8\nQ:1/4=60\nK:HP\n"
SIGNS = ("A2 c2", "{gef}e2 f2", "e4", "z4", "B>d", "{GdGe}A2 c2-", "c4", "|", "|", "|:", ":|", "|1", ":|2", "|]", "||")


def tunes() -> st.SearchStrategy[Tune]:
    """Tunes of bars, repeats and endings in any order, those that can be played."""
    texts = st.lists(st.sampled_from(SIGNS), min_size=1, max_size=14).map(lambda signs: f"{HEAD}{' '.join(signs)}\n")
    read = texts.map(lambda text: read_abc_text(text).tunes).filter(bool).map(lambda found: found[0])
    return read.filter(can_be_played)


@given(tunes(), tunes(), st.floats(0.0, 1.0), st.sampled_from(REPEATS), st.booleans(), st.booleans())
def test_from_any_tune_to_any_other(
    before: Tune, now: Tune, share: float, extent: Extent, marked: bool, playing: bool
) -> None:
    """The place is in the tune, what is repeated is a stretch of it, and a player takes it and goes on."""
    clock = Clock()
    state = first_state((before,), before, Timing(slow_down=2.0))
    position_s = share * state.schedule.states[-1].at_s
    state = respan(replace(state, position_s=position_s, extent=extent, playing=playing))
    state = replace(state, marked=marked and state.span is not None)
    player = SilentPlayer(clock)
    start(player, state, position_s)
    new, moved = rewritten(state, position_s, (TuneNow(before, now, now, (), (), ()),), (now,))
    assert new.tune is now
    assert new.schedule.events[0].start_s <= new.position_s <= new.schedule.duration_s
    if new.span:
        assert 0.0 <= new.span.start_s < new.span.end_s <= new.schedule.duration_s + 1e-6
    assert (new.timing, new.extent, new.playing) == (state.timing, extent, playing)
    player.rewrite(new.schedule, moved, new.repeat)
    assert player.position_s() <= new.schedule.duration_s
    clock.now_s += 0.5
    assert player.position_s() <= new.schedule.duration_s


@given(tunes(), st.floats(0.0, 1.0), st.sampled_from(REPEATS))
def test_to_the_same_tune_nothing_moves(tune: Tune, share: float, extent: Extent) -> None:
    """Neither the place nor what is repeated."""
    state = first_state((tune,), tune, Timing(slow_down=2.0))
    state = respan(replace(state, position_s=share * state.schedule.states[-1].at_s, extent=extent))
    again = replace(tune)
    new, _ = rewritten(state, state.position_s, (TuneNow(tune, again, again, (), (), ()),), (again,))
    assert new.position_s == pytest.approx(state.position_s, abs=1e-6)
    assert new.span == state.span
