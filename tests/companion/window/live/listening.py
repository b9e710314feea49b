"""The playing screen with an instrument beside it, moved by the clock of a test."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from companion.listen.model.played import Sounded
from companion.listen.model.strictness import Strictness
from companion.midi.maps.note_map import DEFAULT_MAP
from companion.midi.stream.line import Timed
from companion.midi.stream.messages import NoteOff, NoteOn
from companion.schedule.spans import Extent
from companion.schedule.timing import Timing
from companion.score.model import Tune
from companion.sound.player import SilentPlayer
from companion.window.choosing_navigation import choose_tune
from companion.window.core.actions import Action, Seek
from companion.window.core.display import Display
from companion.window.core.marks import Picture
from companion.window.core.screen import Canvas
from companion.window.lanes.told import EarSettings, Feedback
from companion.window.live.input import LiveInput
from companion.window.live.sound import LiveSound
from companion.window.play.play_screen import PlayScreen
from companion.window.play.play_state import first_state
from tests.companion.window.lettered import lettering_for
from tests.companion.window.players import Clock, Feed

FRAME_S = 1.0 / 60.0
SIZE = (1280, 720)


class ListeningBench:
    """The playing screen on a tune, an instrument, and a clock for both that a test moves."""

    def __init__(self, tune: Tune, folder: Path) -> None:
        self.clock, self.feed = Clock(0.0), Feed()
        self.live = LiveInput(folder, LiveSound(), self.clock)
        self.live.choice.follow(self.feed, DEFAULT_MAP)
        state = replace(first_state((tune,), tune, Timing()), extent=Extent.NOTHING, span=None)
        state = replace(state, ear=EarSettings(Feedback.AT_ONCE, Strictness.USUAL))
        self.screen = PlayScreen(state, SilentPlayer(self.clock), choose_tune, live=self.live)

    def play(self, take: Sequence[Sounded]) -> None:
        """The tune runs from its start while the take is played, and is stopped with its last event."""
        self.screen.act(Action.START)
        self.play_on(take)

    def play_on(self, take: Sequence[Sounded]) -> None:
        """The same from where the tune stands; times of the take are from there on."""
        begun_s = self.clock.now_s
        self.screen.act(Action.PLAY)
        self.screen.listen_in()
        waiting, sounding = list(take), None
        while waiting:
            self.clock.now_s += FRAME_S
            while waiting and begun_s + waiting[0].at_s <= self.clock.now_s:
                event = replace(waiting[0], at_s=begun_s + waiting.pop(0).at_s)
                number = None if event.note is None else DEFAULT_MAP.number(event.note)
                if number is not None:
                    self.feed.play(Timed(event.at_s, NoteOn(0, number)))
                if sounding is not None:
                    self.feed.play(Timed(event.at_s, NoteOff(0, sounding)))
                sounding = number
            self.screen.listen_in()
        self.screen.act(Action.PLAY)
        self.screen.listen_in()

    def picture_at(self, at_s: float) -> Picture:
        """What the window shows where the tune stands at a moment."""
        self.screen.act(Seek(at_s))
        return self.screen.picture(Canvas(*SIZE, Display(), lettering_for(SIZE, Display())))
