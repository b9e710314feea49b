"""The list of instruments to choose from: MIDI ports and microphones that are here, the computer's keys, or none."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from companion.files.lines import one_line
from companion.midi.maps.hole_map import HoleMap
from companion.midi.maps.map_text import Map
from companion.midi.maps.touch import Touch
from companion.sound.settings import LatencyMode
from companion.window.core.actions import Action, Intent
from companion.window.core.display import Display
from companion.window.core.hints import Group, Hint, KeyHint, KeyTable
from companion.window.core.list_screen import ListScreen, list_keys
from companion.window.core.list_view import ListContents, ListRow, list_picture
from companion.window.core.marks import Picture, Role
from companion.window.core.screen import Canvas, Screen, ScreenResult
from companion.window.live.input_messages import short_name
from companion.window.live.microphone.voice_lesson import VoiceLesson
from companion.window.play.learn_screen import LearnScreen, hole_lesson, note_lesson
from companion.window.play.play_keys import TOUCH_WORDS
from companion.window.play.play_screen import PlayScreen
from companion.window.play.play_state import PlayState

_WAYS = {LatencyMode.STREAMING: "clean sound", LatencyMode.LOW_LATENCY: "quick sound, with a click at each change"}
LONGEST_NAME = 44
_VOICES = {False: "microphone; your chanter is learnt as you play", True: "microphone; knows your chanter"}
NOTHING_CHOSEN = "nothing is listened to"
NOTHING_HERE = "neither an electronic chanter nor a microphone is connected; plug one in, and it stands here"
LOOKING = "looking for microphones"
INSTRUMENT_KEYS: KeyTable[PlayState] = list_keys(
    "choose",
    "back",
    KeyHint((Action.LEARN_NOTES,), lambda state, display: "learn its notes", "Play its nine notes once.", Group.PLAY),
    sheet=(
        KeyHint(
            (Action.LEARN_HOLES,), lambda state, display: "learn its holes", "Close its eight holes once.", Group.PLAY
        ),
        KeyHint(
            (Action.LIVE_WAY,),
            lambda state, display: _WAYS[state.live.way],
            "How this computer sounds what you play.",
            Group.PLAY,
        ),
        KeyHint(
            (Action.CLOSE_MICROPHONE,),
            lambda state, display: "close the microphone",
            "Closes the microphone, on every screen; it stays closed the next time.",
            Group.PLAY,
        ),
    ),
)


class InstrumentScreen(ListScreen):
    """The list over the playing screen, which is then played in on what is chosen here."""

    keys = INSTRUMENT_KEYS

    def __init__(self, beneath: PlayScreen) -> None:
        self._beneath = beneath
        if instruments := beneath.live.choice.instruments:
            instruments.microphones.look()
        super().__init__(self._chosen_rank())

    def act(self, intent: Intent) -> ScreenResult | Screen:
        """Move the mark, choose an instrument, or begin to learn what it sends."""
        match intent:
            case Action.LIVE_WAY:
                return self._beneath.act(intent)
            case Action.LEARN_NOTES | Action.LEARN_HOLES:
                return self._learn(intent)
        return super().act(intent)

    def key_state(self) -> PlayState:
        """The playing screen's."""
        return self._beneath.state

    def at_foot(self, display: Display) -> tuple[Hint, ...]:
        """The keys at the foot; nothing is learnt of what is neither a port nor a microphone."""
        return self._of_the_marked(super().at_foot(display))

    def sheet(self, display: Display) -> Sequence[Hint]:
        """What the sheet shows."""
        return self._of_the_marked(super().sheet(display))

    def _of_the_marked(self, hints: Sequence[Hint]) -> tuple[Hint, ...]:
        unfit = {Action.LEARN_NOTES, Action.LEARN_HOLES} - self._learnable
        if self._beneath.live.choice.microphone is None:
            unfit.add(Action.CLOSE_MICROPHONE)
        return tuple(hint for hint in hints if not unfit.intersection(hint.actions))

    @property
    def _learnable(self) -> set[Action]:
        """What can be learnt of the marked row: of a port its notes or holes, of a microphone its notes."""
        if self.rank < len(self._ports):
            return {Action.LEARN_NOTES, Action.LEARN_HOLES}
        return {Action.LEARN_NOTES} if self.rank < len(self._ports) + len(self._microphones) else set()

    @property
    def _ports(self) -> tuple[str, ...]:
        instruments = self._beneath.live.choice.instruments
        return instruments.inputs if instruments else ()

    @property
    def _microphones(self) -> tuple[str, ...]:
        instruments = self._beneath.live.choice.instruments
        return instruments.microphones.names if instruments else ()

    def row_count(self) -> int:
        """How many instruments there are now."""
        return len(self._choices())

    def tick(self) -> None:
        """Keep the marked row within the list, since ports may have gone."""
        self.rank = min(self.rank, self.row_count() - 1)

    def picture(self, canvas: Canvas) -> Picture:
        """The list."""
        return list_picture(self._listed(canvas.display), canvas)

    def _listed(self, display: Display) -> ListContents:
        live = self._beneath.live
        played = live.freely(live.clock())
        problem = played.problem or ("" if live.choice.microphone else self._trouble())
        line = problem or played.words or self._nothing_chosen()
        hints = self.at_foot(display)
        rows = tuple(row for row, _ in self._choices())
        role = Role.FAULT if problem else Role.QUIET
        return ListContents("Instrument", rows, self.rank, hints, line, role)

    def _trouble(self) -> str:
        """What is wrong with the ports, else with the microphones; neither matters where the other is there."""
        instruments = self._beneath.live.choice.instruments
        if instruments is None:
            return ""
        return instruments.trouble or ("" if instruments.inputs else instruments.microphones.trouble)

    def _nothing_chosen(self) -> str:
        instruments = self._beneath.live.choice.instruments
        if self._microphones:
            return NOTHING_CHOSEN
        if instruments and not instruments.microphones.known_by_now:
            return LOOKING
        return f"{NOTHING_CHOSEN}; no microphone is connected" if self._ports else NOTHING_HERE

    def _choices(self) -> list[tuple[ListRow, Callable[[], None]]]:
        """The rows, each with what choosing it does."""
        live = self._beneath.live
        instruments = live.choice.instruments
        rows: list[tuple[ListRow, Callable[[], None]]] = []
        for port in self._ports:
            known = instruments.known(port) if instruments else None
            rows.append((ListRow(short_name(port), _about(known)), self._listening_to(port)))
        for name in self._microphones:
            learnt = instruments is not None and instruments.microphones.has_voice(name)
            rows.append((ListRow(_microphone_name(name), _VOICES[learnt]), self._listening_to_microphone(name)))
        for touch in Touch:
            rows.append((ListRow("the computer's keys", TOUCH_WORDS[touch]), self._playing_keys(touch)))
        rows.append((ListRow("nothing", "only look and listen"), self._listening_to_nothing))
        return rows

    def _chosen_rank(self) -> int:
        choice, listed = self._beneath.live.choice, [*self._ports, *self._microphones]
        if choice.keys:
            return len(listed) + list(Touch).index(choice.keys.touch)
        return listed.index(choice.name) if choice.name in listed else 0

    def _listening_to_nothing(self) -> None:
        self._beneath.play_on_keys(None)
        self._beneath.live.listen_to_nothing()

    def _listening_to(self, port: str) -> Callable[[], None]:
        def listen() -> None:
            self._beneath.play_on_keys(None)
            self._beneath.live.listen_to(port)

        return listen

    def _listening_to_microphone(self, name: str) -> Callable[[], None]:
        def listen() -> None:
            self._beneath.play_on_keys(None)
            self._beneath.live.listen_to_microphone(name)

        return listen

    def _playing_keys(self, touch: Touch) -> Callable[[], None]:
        return lambda: self._beneath.play_on_keys(touch)

    def choose(self, rank: int) -> ScreenResult:
        """Listen to an instrument, and go back; one that has gone meanwhile is let be."""
        choices = self._choices()
        if rank < len(choices):
            choices[rank][1]()
        return ScreenResult.CLOSE

    def _learn(self, action: Action) -> ScreenResult | Screen:
        """Open the learning screen for the marked port or microphone; nothing else can be learnt."""
        if action not in self._learnable:
            return ScreenResult.STAY
        self._choices()[self.rank][1]()
        if self.rank >= len(self._ports):
            return LearnScreen(self._beneath, VoiceLesson())
        return LearnScreen(self._beneath, note_lesson() if action is Action.LEARN_NOTES else hole_lesson())


def _microphone_name(name: str) -> str:
    """A microphone's name, short enough that there is room to say that it is one."""
    words = one_line(name)
    return words if len(words) <= LONGEST_NAME else f"{words[: LONGEST_NAME - 1]}…"


def _about(known: Map | None) -> str:
    if known is None:
        return "its notes are not learnt yet"
    return "a sensor in each hole" if isinstance(known, HoleMap) else str(known)
