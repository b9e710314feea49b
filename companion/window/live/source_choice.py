"""What is listened to: a MIDI port or a microphone that may come and go, the computer's keys, or nothing."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from companion.hearing.microphone.source import MicrophoneSource
from companion.listen.model.played import Played
from companion.midi.maps.hole_map import HoleMap
from companion.midi.maps.map_text import Map
from companion.midi.maps.note_map import DEFAULT_MAP
from companion.midi.playing_in import Learning, PlayingIn
from companion.midi.ports.monitor import Sound
from companion.midi.ports.named_ports import InputPort, PortState
from companion.midi.stream.line import Timed
from companion.midi.stream.messages import VoiceMessage
from companion.midi.stream.monophony import STUCK_AFTER_S
from companion.window.lanes.played_in import Light, Tells
from companion.window.live.frame_source import FrameSource, NamedSource
from companion.window.live.input_messages import map_messages, short_name, source_messages
from companion.window.live.instruments import Instruments
from companion.window.live.microphone.followed import FollowedMicrophone, is_there
from companion.window.live.microphone.words import fault_words, state_words
from companion.window.live.played_keys import PlayedKeys
from fingering.errors import UserError

ARRIVING_S = 3.0
"""Messages count as arriving for this long after the last one, so that the light never flickers."""

RETRY_S = 1.0
"""How often an instrument is looked for that was asked for by name and is not there."""


@dataclass(frozen=True, slots=True)
class Came:
    """What a frame brings: what was held before it, the messages that came, and what was played by them."""

    held: tuple[VoiceMessage, ...] = ()
    messages: tuple[Timed, ...] = ()
    played: tuple[Played, ...] = ()


@dataclass(frozen=True, slots=True)
class Wanted:
    """A port or microphone by its name, or a part of it. microphone: whether it is surely one, and the name whole."""

    name: str
    microphone: bool = False


class SourceChoice:
    """One source at a time, heard as its instrument. What cannot be had costs a line, and is waited for.
    `fetched` is how many messages the last fetch brought. wanted: what is listened to, or would be if it were
    there, or if the computer's keys did not play.

    sound: sounds what comes from a port or keys at once, from whichever thread brings it; never what a microphone
    hears, which would hear that again. clock: the one that stamps the messages.
    """

    def __init__(self, sound: Sound, clock: Callable[[], float]) -> None:
        self.instruments: Instruments | None = None
        self.wanted: Wanted | None = None
        self.fetched = 0
        self._sound = sound
        self._clock = clock
        self._frames: FrameSource | None = None
        self._player: PlayingIn | None = None
        self._microphone: FollowedMicrophone | None = None
        self._was_there = False
        self._tried_s = float("-inf")
        self._trouble = ""
        self._stuck_after_s = STUCK_AFTER_S

    @property
    def keys(self) -> PlayedKeys | None:
        """The computer's keys while they play."""
        source = self._frames.source if self._frames else None
        return source if isinstance(source, PlayedKeys) else None

    @property
    def port(self) -> InputPort | None:
        """The port that is listened to."""
        source = self._frames.source if self._frames else None
        return source if isinstance(source, InputPort) else None

    @property
    def microphone(self) -> MicrophoneSource | None:
        """The microphone that is listened to."""
        return self._microphone.source if self._microphone else None

    @property
    def level(self) -> int | None:
        """How loud it is at the microphone, in steps that change seldom; None where there is no microphone."""
        return self._microphone.level if self._microphone else None

    @property
    def heard_until_s(self) -> float:
        """Up to when all that was played has been told: now, but for a microphone, whose notes are told somewhat later,
        and at first once its chanter is learnt."""
        return self._microphone.heard_until_s if self._microphone else self._clock()

    @property
    def there_since_s(self) -> float:
        """Since when what the microphone hears is there; now, for one that is not there."""
        since_s = self._microphone.there_since_s if self._microphone else None
        return self._clock() if since_s is None else since_s

    @property
    def name(self) -> str:
        """The name of the source, "" for none."""
        return self._frames.source.name if self._frames else ""

    @property
    def known(self) -> Map | None:
        """The map by which what comes is heard; None while it is guessed."""
        return self._player.known if self._player else None

    @property
    def tells(self) -> Tells:
        """Whether the holes themselves are known."""
        return Tells.HOLES if self._player is None or isinstance(self.known, HoleMap) else Tells.NOTES

    def open(self, instruments: Instruments, wanted: str | None) -> None:
        """The ports are there: listen to what is asked for, else quietly to the port or microphone used last."""
        self.instruments = instruments
        if wanted is not None:
            self.listen_to(wanted)
        elif self.keys:
            return
        elif instruments.last_microphone is not None:
            self.listen_to_microphone(instruments.last_microphone)
        elif instruments.last_used is not None:
            self._follow_port(instruments.await_port(instruments.last_used, self._sound))

    def listen_to(self, wanted: str) -> None:
        """Listen to a port, by its name or a part of it; where none is meant, to a microphone."""
        self.wanted = Wanted(wanted)
        if self.instruments and not self.instruments.known_by_now:
            return  # tried again in the next frame
        self._tried_s = self._clock()
        try:
            self._follow_port(self.instruments.listen(wanted, self._sound) if self.instruments else None)
        except UserError as error:
            self._look_for_microphone(wanted, error)

    def take_up(self) -> None:
        """Listen to what is wanted, if anything is."""
        if self.wanted and self.wanted.microphone:
            self.listen_to_microphone(self.wanted.name)
        elif self.wanted:
            self.listen_to(self.wanted.name)

    def listen_to_microphone(self, name: str) -> None:
        """Listen to a microphone by its whole name, as soon as it is there."""
        if self.instruments:
            self.wanted = Wanted(name, microphone=True)
            self.follow(self.instruments.microphones.listen(name), DEFAULT_MAP)

    def await_port(self, name: str) -> None:
        """Listen to a port by its whole name, as soon as it is there."""
        if self.instruments:
            self._follow_port(self.instruments.await_port(name, self._sound))

    def follow(self, source: NamedSource, known: Map | None) -> None:
        """Listen to a source, and hear it by a map; None has the map guessed."""
        self._trouble = ""
        self._was_there = False
        self._microphone = FollowedMicrophone(source, self._clock) if isinstance(source, MicrophoneSource) else None
        self._frames = FrameSource(source)
        self._player = PlayingIn(self._frames, known, self._clock)
        self.allow(self._stuck_after_s)

    def allow(self, stuck_after_s: float) -> None:
        """From now on a note is stuck that sounds for so many seconds with nothing new, whatever is listened to."""
        self._stuck_after_s = stuck_after_s
        if self._player:
            self._player.allow(stuck_after_s)
        if self.port:
            self.port.allow(stuck_after_s)

    def learn(self, learning: Learning | None) -> None:
        """Learn a map from what comes, or leave off learning."""
        if self._player:
            self._player.learning = learning

    def keep_learnt(self) -> None:
        """Remember the map in force for this port, and sound by it too; of a microphone, the chanter's voice."""
        if self.port and self.instruments and self.known:
            self.instruments.learn(self.port.name, self.known)
        if self.microphone and self.instruments:
            self.instruments.microphones.keep(self.microphone)

    def let_go(self) -> None:
        """Let the source go; what it still brought can be fetched until `leave`."""
        if self.port and self.instruments:
            self.instruments.release(self.port)
        if self.keys:
            self.keys.let_go()

    def leave(self) -> None:
        """Listen to nothing. A microphone is let go only now, when its sound beside a take has been ended."""
        if self.microphone and self.instruments:
            self.instruments.microphones.release(self.microphone)
        self._frames = self._player = self._microphone = None
        self._trouble = ""

    def fetch(self) -> Came:
        """What came since the last call."""
        if self._frames is None or self._player is None:
            return Came()
        held = self._player.held
        if self._microphone:
            self._microphone.follow()
        played = self._player.fetch()
        self.fetched = len(self._frames.fresh)
        return Came(held, self._frames.fresh, played)

    def look_for_ports(self) -> None:
        """Once a frame: notice what came and went."""
        if self.instruments is None:
            return
        self.instruments.refresh()
        port, microphone = self.port, self.microphone
        if self._frames is None and self.wanted and self._clock() - self._tried_s > RETRY_S:
            self.take_up()
        elif (came := self.came()) and port:
            self.instruments.used(port.name)
        elif came and microphone:
            self.instruments.used_microphone(microphone.name)

    def came(self) -> bool:
        """Once a frame: whether the port or microphone in hand is there for the first time."""
        port, microphone = self.port, self.microphone
        there = port.state is PortState.OPEN if port else microphone and is_there(microphone)
        came = bool(there) and not self._was_there
        self._was_there = self._was_there or came
        return came

    def light(self) -> Light:
        """Whether messages arrive."""
        if self._frames is None:
            return Light.AWAY if self.wanted else Light.OFF
        if self.port and self.port.state is not PortState.OPEN:
            return Light.AWAY
        if self.microphone and not is_there(self.microphone):
            return Light.AWAY
        last_s = self._frames.source.last_message_s
        return Light.ARRIVING if last_s is not None and self._clock() - last_s < ARRIVING_S else Light.QUIET

    def words(self) -> str:
        """What is listened to."""
        if self.keys:
            return f"{self.keys.touch.value}; Shift for all else"
        if self.microphone:
            return state_words(self.microphone)
        name = short_name(self.name or (self.wanted.name if self.wanted else ""))
        verbs = {Light.ARRIVING: "messages arrive from", Light.QUIET: "listening to", Light.AWAY: "waiting for"}
        verb = verbs.get(self.light())
        return f"{verb} {name}" if verb else ""

    def faults(self, *, heard: bool) -> Iterator[str]:
        """What is wrong, the worst first; `heard`: whether anything was played yet."""
        if self._frames:
            yield from source_messages(self._frames.source, was_there=self._was_there)
        if self._microphone and self.instruments:
            microphones, source = self.instruments.microphones, self._microphone.source
            can_be = self._was_there or source.name in microphones.names
            yield from fault_words(source, can_be_heard=can_be, too_loud=self._microphone.too_loud)
            yield microphones.forgotten or microphones.trouble
        if self._trouble:
            yield self._trouble
        if self.instruments and self.instruments.trouble and self.wanted and not self.microphone:
            yield self.instruments.trouble
        if self._player and heard:
            yield from map_messages(self._player.instrument)

    def _look_for_microphone(self, wanted: str, no_port: UserError) -> None:
        """Listen to the microphone that is meant where no port is; none of that name is told once all are known."""
        microphones = self.instruments.microphones if self.instruments else None
        if microphones is None:
            self._trouble = str(no_port)
            return
        microphones.look()
        if not microphones.known_by_now:
            return
        name = microphones.meant(wanted)
        if name:
            self.listen_to_microphone(name)
        else:
            self._trouble = str(UserError(f"{no_port.what}, nor such a microphone", no_port.remedy))

    def _follow_port(self, port: InputPort | None) -> None:
        if port and self.instruments:
            self.wanted = Wanted(port.name)
            self.follow(port, self.instruments.known(port.name))
