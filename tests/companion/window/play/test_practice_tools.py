"""The tools for practice on the playing screen: what is set, what is seen, and what is kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pytest

from companion.schedule.bars import Ticking
from companion.schedule.practice.ladder import heard_tempo
from companion.schedule.practice.rounds import Echo, Rest, Turn
from companion.schedule.spans import Extent
from companion.sound.settings import SoundSettings
from companion.window.core.actions import Action, Seek
from companion.window.core.display import Display
from companion.window.core.marks import Dot, Picture, Role, Rule, Style
from companion.window.core.screen import Canvas
from companion.window.play.play_keys import PLAY_TABLE
from companion.window.play.play_moves import update
from companion.window.play.play_screen import PlayScreen
from companion.window.play.play_state import PlayState
from companion.window.play.play_view import PlayView
from companion.window.play.settings.preferences import Preferences, read_preferences, write_preferences
from companion.window.play.tools.round_settings import RoundSettings
from companion.window.play.tools.solo import Solo
from tests.companion.window import scenes
from tests.companion.window.every_screen import playing
from tests.companion.window.lettered import lettering_for
from tests.companion.window.players import Clock
from tests.companion.window.tool_scenes import BAR

SIZE = (1280, 720)


def after(state: PlayState, *actions: Action) -> PlayState:
    """The state after some keys, at its place."""
    for action in actions:
        state = update(state, action, state.position_s)
    return state


def seen(screen: PlayScreen) -> Picture:
    """What the window shows."""
    return screen.picture(Canvas(*SIZE, Display(), lettering_for(SIZE, Display())))


def clock_of(screen: PlayScreen) -> Clock:
    """The clock that a test moves."""
    assert isinstance(screen.live.clock, Clock)
    return screen.live.clock


def large(picture: Picture) -> list[str]:
    """The largest word."""
    return [label.text for label in scenes.labels(picture) if label.style is Style.HUGE]


def words(picture: Picture) -> str:
    """All that is read."""
    return " ".join(label.text for label in scenes.labels(picture))


def test_each_setting_goes_round_by_its_row() -> None:
    """Back to where it was at first."""
    for action, choices in ((Action.PULSE, len(Ticking)), (Action.REST, len(Rest)), (Action.ECHO, len(Echo))):
        state = after(scenes.state(), *[action] * choices)
        assert (state.sound, state.rounds) == (SoundSettings(), RoundSettings())


def test_dots_show_the_parts_of_the_beat_if_they_tick() -> None:
    """Smaller than those of the beats, between them."""

    def radii(state: PlayState) -> list[float]:
        picture = PlayView(lettering_for(SIZE, Display())).picture(state, Display(), 20.0, *SIZE)
        y = max(mark.y for mark in picture.moving if isinstance(mark, Dot))
        return [mark.radius for mark in picture.moving if isinstance(mark, Dot) and mark.y == y]

    beats, parts = radii(scenes.state()), radii(after(scenes.state(), Action.PULSE))
    assert len(parts) > len(beats)
    assert min(parts) < min(beats)


def test_whose_turn_it_is_is_the_largest_word() -> None:
    """With another shape beside it in the learner's turn, and not by a colour alone."""
    bars = []
    for at_s, said in ((1.0, "listen"), (17.0, "play"), (33.0, "listen")):
        picture = seen(playing(at_s, keys=(*BAR, Action.ECHO)))
        assert large(picture) == [said]
        upright = [mark for mark in picture.moving if isinstance(mark, Rule) and mark.x0 == mark.x1]
        bars.append(any(mark.role is Role.GUIDE and mark.y1 < 110 for mark in upright))
    assert bars == [False, True, False]


def test_while_the_tune_stands_it_is_nobodys_turn() -> None:
    """The note in hand is named as ever."""
    picture = seen(playing(runs=False, keys=(*BAR, Action.ECHO)))
    assert large(picture) != ["listen"]
    assert "then you play it back" not in words(picture)


@pytest.mark.parametrize(
    ("echo", "said"), [((), "rest, then again, on 1, with E"), ((Action.ECHO,), "rest, then your turn, on 1, with E")]
)
def test_a_rest_is_counted_and_says_what_comes(echo: tuple[Action, ...], said: str) -> None:
    """The beats large, as in a count-in."""
    picture = seen(playing(19.0, keys=(*BAR, *echo, Action.REST, Action.REST)))
    assert large(picture) == ["1"]
    assert said in words(picture)


def test_an_echo_that_goes_on_has_all_stretches_of_its_extent() -> None:
    """One that is marked by hand stays the only one."""
    state = after(scenes.state(), Action.ECHO, Action.ECHO)
    assert (state.rounds.echo, state.extent) == (Echo.ON, Extent.PHRASE)
    assert state.repeat is not None
    assert len(state.repeat.spans) == 4
    assert state.span in state.repeat.spans
    marked = replace(state, marked=True).repeat
    assert marked is not None
    assert marked.spans == (state.span,)


def test_a_key_in_the_learners_turn_leaves_it_the_learners() -> None:
    """But to go elsewhere makes it the tool's again."""
    screen = playing(17.0, keys=(*BAR, Action.ECHO))
    for action in (Action.METRONOME, Action.DRONES, Action.TEMPO_UP, Action.SLOWER):
        screen.act(action)
        assert screen.turn_now() is Turn.LEARNER
    screen.act(Seek(screen.position_s() + 0.5))
    assert screen.turn_now() is Turn.TOOL


def test_all_settings_as_at_first_end_them() -> None:
    """No rest, no echo, the beats alone."""
    state = after(scenes.state(), Action.PULSE, Action.REST, Action.ECHO, Action.AS_NEW)
    assert (state.sound, state.rounds) == (SoundSettings(), RoundSettings())


def test_pulse_and_rest_are_remembered(tmp_path: Path) -> None:
    """An echo is not: whoever starts the program hears the tune."""
    screen = playing(runs=False, keys=(Action.PULSE, Action.REST, Action.ECHO))
    path = tmp_path / "settings.json"
    write_preferences(screen.preferences(Display()), path)
    kept = read_preferences(path)
    assert (kept.sound.pulse, kept.rest) == (Ticking.PARTS, Rest.BEAT)


def test_settings_of_before_there_were_such_tools_are_read(tmp_path: Path) -> None:
    """They say nothing of pulse and rest."""
    path = tmp_path / "settings.json"
    write_preferences(Preferences(), path)
    text = path.read_text(encoding="utf-8")
    older = text.replace('"pulse"', '"pulse_of_later"').replace('"rounds"', '"rounds_of_later"')
    assert older != text
    path.write_text(older, encoding="utf-8")
    assert read_preferences(path) == Preferences()


def tempos(screen: PlayScreen, lengths: Sequence[float]) -> list[float]:
    """The tempo that is heard in each round, looked at many times within it and the rest before it; never two in one.

    lengths: of the rounds with their rests, in lengths of the stretch.
    """
    seen_tempos: list[float] = []
    for length in lengths:
        within = set()
        for _ in range(8):
            screen.listen_in()
            within.add(round(heard_tempo(screen.state.tune, screen.state.timing), 6))
            clock_of(screen).now_s += length * span_s(screen) / 8
        assert len(within) == 1
        seen_tempos += within
    return seen_tempos


def span_s(screen: PlayScreen) -> float:
    """How long a round lasts."""
    assert screen.state.span is not None
    return screen.state.span.end_s - screen.state.span.start_s


@pytest.mark.parametrize("rest", [(), (Action.REST, Action.REST, Action.REST)])
def test_the_tempo_rises_from_round_to_round_and_never_within_one(rest: tuple[Action, ...]) -> None:
    """From a quarter of 60 by 2 each, with and without a rest as long as the round."""
    screen = playing(0.001, keys=(*BAR, *rest, Action.LADDER))
    later = 2.0 if rest else 1.0
    assert tempos(screen, (1.0, later, later, later)) == [15.0, 17.0, 19.0, 21.0]
    assert "21 of 60 beats a minute" in words(seen(screen))


def test_the_place_in_a_round_stays_as_the_tempo_rises() -> None:
    """The first beat of the next round is where it was due."""
    screen = playing(0.001, keys=(*BAR, Action.LADDER))
    screen.listen_in()
    clock_of(screen).now_s += 16.0
    screen.listen_in()
    assert screen.state.span is not None
    assert screen.position_s() == pytest.approx(screen.state.span.start_s + 0.001, abs=0.0005)


def test_an_echo_rises_after_both_turns() -> None:
    """What is played back has the tempo of what was heard."""
    screen = playing(0.001, keys=(*BAR, Action.ECHO, Action.LADDER))
    assert tempos(screen, (2.0, 2.0, 2.0)) == [15.0, 17.0, 19.0]


def test_where_nothing_is_repeated_the_tempo_stays() -> None:
    """And nothing is said of it."""
    screen = playing(0.001, keys=(*(Action.REPEAT,) * 5, Action.LADDER))
    assert screen.state.span is None
    clock_of(screen).now_s += 20.0
    screen.listen_in()
    assert heard_tempo(screen.state.tune, screen.state.timing) == 15.0
    assert "of 60 beats" not in words(seen(screen))


@pytest.mark.parametrize(("action", "levels"), [(Action.DRONES_ALONE, (0.0, 0.25)), (Action.CHANTER_ALONE, (0.5, 0.0))])
def test_a_voice_alone_goes_there_and_back(action: Action, levels: tuple[float, float]) -> None:
    """The levels that are set stay as they are, and the metronome with them."""
    begun = replace(scenes.state(), sound=SoundSettings(metronome_level=0.5))
    alone = after(begun, action)
    assert (alone.sounding.chanter_level, alone.sounding.drones_level) == levels
    assert (alone.sound, alone.sounding.metronome_level) == (begun.sound, 0.5)
    assert after(alone, action) == begun


def test_a_voice_that_is_off_is_heard_where_it_is_alone() -> None:
    """At its usual level, else there would be silence."""
    silent = replace(scenes.state(), sound=SoundSettings(chanter_level=0.0, drones_level=0.0))
    assert after(silent, Action.DRONES_ALONE).sounding.drones_level == 0.25
    assert after(silent, Action.CHANTER_ALONE).sounding.chanter_level == 0.5


def test_the_key_of_the_silent_voice_brings_it_back() -> None:
    """As loud as it was; the other one's key changes that one's level, still alone."""
    alone = after(scenes.state(), Action.DRONES_ALONE)
    assert after(alone, Action.CHANTER) == replace(alone, solo=Solo.NONE)
    louder = after(alone, Action.DRONES)
    assert (louder.solo, louder.sounding.drones_level) == (Solo.DRONES, 0.5)


def test_what_is_heard_alone_is_said_where_the_levels_are() -> None:
    """The chanter's row says that it is off."""
    rows = [hint.words for hint in PLAY_TABLE.on_sheet(after(scenes.state(), Action.DRONES_ALONE), Display())]
    assert {"chanter off", "drones soft", "drones alone on", "chanter alone off"} <= set(rows)
