"""One player at one instrument, from messages to events and maps."""

from __future__ import annotations

from collections.abc import Iterable

from companion.listen.model.played import Fingered, Sounded
from companion.midi.maps.calibration import Calibration
from companion.midi.maps.hole_map import HoleLearning
from companion.midi.maps.keys import KEYS_MAP, KeyChanter, KeyLayout, KeySource, UpperHand
from companion.midi.maps.note_map import DEFAULT_MAP, NoteMap, Spelling
from companion.midi.maps.touch import Touch
from companion.midi.playing_in import PlayingIn
from companion.midi.stream.line import Timed
from companion.midi.stream.messages import NoteOff, NoteOn, VoiceMessage
from companion.midi.stream.monophony import STUCK_AFTER_S
from fingering.holes import ALL_CLOSED, Finger
from fingering.notes import Note

WHITE = NoteMap.of(57, Spelling.NATURALS)


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


def test_the_keys_are_an_instrument_like_any_other() -> None:
    """All eight held: low G."""
    hands = Hands()
    player = PlayingIn(hands.source, KEYS_MAP, hands.clock)
    layout = KeyLayout.for_upper_hand(UpperHand.LEFT)
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


def test_what_is_held_is_known() -> None:
    """As far as it was fetched: a take may begin at any moment."""
    hands = Hands()
    player = PlayingIn(hands.source, DEFAULT_MAP, hands.clock)
    hands.play(NoteOn(0, 69), NoteOn(0, 71), NoteOff(0, 69))
    assert not player.held
    player.fetch()
    assert player.held == (NoteOn(0, 71),)


def test_another_map_plays_anew_what_is_held() -> None:
    """C as 72 here, 73 there: what sounded by the old map ends, and no time goes back."""
    hands = Hands()
    sharps, whites = NoteMap.of(69, Spelling.SHARPS), NoteMap.of(69, Spelling.NATURALS)
    player = PlayingIn(hands.source, sharps, hands.clock)
    hands.play(NoteOn(0, 74), NoteOn(0, 72), NoteOff(0, 74))
    player.use(whites)
    assert player.fetch() == (Sounded(10.0, Note.D), Sounded(12.0, None), Sounded(13.0, None), Sounded(13.0, Note.C))
    assert player.known == whites


def test_a_note_may_be_held_for_as_long_as_the_tune_asks() -> None:
    """Of a tune that runs slowly; a change of the map leaves the limit as it is."""
    hands = Hands()
    player = PlayingIn(hands.source, None, hands.clock)
    player.allow(10.0 * STUCK_AFTER_S)
    player.use(DEFAULT_MAP)
    player.fetch()
    struck_s = hands.now_s
    hands.play(NoteOn(0, 69))
    assert [event.note for event in player.fetch() if isinstance(event, Sounded)] == [Note.LOW_A]
    hands.now_s = struck_s + 9.9 * STUCK_AFTER_S
    assert player.fetch() == ()
    hands.now_s = struck_s + 11.0 * STUCK_AFTER_S
    assert player.fetch() == (Sounded(struck_s + 10.0 * STUCK_AFTER_S, None),)
