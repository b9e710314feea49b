"""One player at one instrument, from messages to events, takes and maps."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from companion.listen.played import Fingered, Sounded
from companion.midi.calibration import Calibration
from companion.midi.heading import Heading
from companion.midi.hole_map import HoleLearning
from companion.midi.keys import KEYS_MAP, Hand, KeyChanter, KeyLayout, Touch
from companion.midi.line import Timed
from companion.midi.messages import BREATH_CONTROLLER, Control, NoteOff, NoteOn, VoiceMessage
from companion.midi.monophony import STUCK_AFTER_S
from companion.midi.note_map import DEFAULT_MAP, NoteMap, Spelling
from companion.midi.playing_in import KeySource, PlayingIn
from companion.midi.takes import read_take
from fingering.holes import ALL_CLOSED, Finger
from fingering.notes import Note

WHITE = NoteMap.of(57, Spelling.NATURALS)
HEADING = Heading(datetime(2026, 1, 1, tzinfo=UTC), "keys", DEFAULT_MAP)


class Hands:
    """A clock that the test moves, and a source into which it plays."""

    def __init__(self) -> None:
        self.now_s = 10.0
        self.source = KeySource()

    def clock(self) -> float:
        """The time."""
        return self.now_s

    def play(self, *messages: VoiceMessage, each_s: float = 1.0) -> None:
        """Send messages, `each_s` apart."""
        for message in messages:
            self.source.put([Timed(self.now_s, message)])
            self.now_s += each_s


def scale(numbers: Iterable[int]) -> list[VoiceMessage]:
    """Each note on and off again."""
    return [kind(0, number) for number in numbers for kind in (NoteOn, NoteOff)]


def test_a_calibration_is_put_to_use_when_it_is_finished() -> None:
    """The note after it is named by the new map: white-key C is 60 here."""
    hands = Hands()
    player = PlayingIn(hands.source, DEFAULT_MAP, hands.clock)
    player.learning = Calibration()
    hands.play(*scale(WHITE.numbers))
    player.fetch()
    assert player.learning is None
    assert player.known == WHITE
    hands.play(NoteOn(0, 60))
    assert player.fetch() == (Sounded(28.0, Note.C),)


def test_holes_learnt_one_by_one_are_put_to_use() -> None:
    """Then hole states come in."""
    hands = Hands()
    player = PlayingIn(hands.source, None, hands.clock)
    player.learning = HoleLearning()
    hands.play(*scale(range(40, 48)))
    player.fetch()
    hands.play(*(NoteOn(0, number) for number in range(40, 48)), each_s=0.01)
    last = player.fetch()[-1]
    assert isinstance(last, Fingered)
    assert last.state == ALL_CLOSED


def test_a_take_holds_what_is_played_while_it_runs(tmp_path: Path) -> None:
    """Not what came before or after it; its file reads back the same."""
    hands = Hands()
    player = PlayingIn(hands.source, DEFAULT_MAP, hands.clock)
    hands.play(*scale([67]))
    player.fetch()
    player.begin_take(tmp_path, HEADING)
    hands.play(*scale([69, 71]))
    player.fetch()
    take = player.end_take()
    hands.play(*scale([81]))
    player.fetch()
    assert take is not None
    assert [(each.at_s, each.note) for each in take.events if isinstance(each, Sounded)] == [
        (0.0, Note.LOW_A),
        (1.0, None),
        (2.0, Note.B),
        (3.0, None),
    ]
    assert take.path is not None
    assert read_take(take.path).events == take.events
    assert player.end_take() is None


def test_a_take_knows_what_was_held_when_it_began(tmp_path: Path) -> None:
    """Holes closed before it, a breath that was there, and nothing that had ended."""
    hands = Hands()
    player = PlayingIn(hands.source, KEYS_MAP, hands.clock)
    first, *others = (NoteOn(15, 60 + finger) for finger in Finger)
    hands.play(Control(15, BREATH_CONTROLLER, 0), first, *others, NoteOff(15, 60), Control(15, BREATH_CONTROLLER, 80))
    player.fetch()
    player.begin_take(tmp_path, replace(HEADING, known=KEYS_MAP))
    hands.play(first)
    player.fetch()
    take = player.end_take()
    assert take is not None
    states = [(each.at_s, each.state) for each in take.events if isinstance(each, Fingered)]
    assert states[-2:] == [(0.0, ALL_CLOSED.lifting(Finger.THUMB)), (0.0, ALL_CLOSED)]


def test_the_keys_are_an_instrument_like_any_other() -> None:
    """All eight held: low G."""
    hands = Hands()
    player = PlayingIn(hands.source, KEYS_MAP, hands.clock)
    layout = KeyLayout.for_upper_hand(Hand.LEFT)
    keys = KeyChanter(layout, Touch.CLOSED)
    for finger in Finger:
        hands.source.put(keys.press(layout.scancode(finger), hands.now_s))
    assert player.fetch()[-1] == Fingered(10.0, ALL_CLOSED)


def test_a_stuck_note_ends_though_no_message_comes() -> None:
    """The clock that was passed in tells when."""
    hands = Hands()
    player = PlayingIn(hands.source, DEFAULT_MAP, hands.clock)
    hands.play(NoteOn(0, 69))
    player.fetch()
    hands.now_s += 2 * STUCK_AFTER_S
    assert player.fetch() == (Sounded(10.0 + STUCK_AFTER_S, None),)
