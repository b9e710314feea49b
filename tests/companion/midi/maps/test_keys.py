"""The computer's keys as a chanter."""

from __future__ import annotations

from collections.abc import Iterable

import pytest

from companion.listen.model.played import Fingered, Played, Sounded
from companion.midi.maps.instrument import HANDS_OFF_S, HoleInstrument
from companion.midi.maps.keys import KEYS_MAP, KeyChanter, KeyLayout, KeyWatch, UpperHand
from companion.midi.maps.touch import Touch
from companion.midi.stream.line import Timed
from fingering.chart import chart
from fingering.holes import ALL_CLOSED, Finger, HoleState
from fingering.notes import Note

LEFT = KeyLayout.for_upper_hand(UpperHand.LEFT)


def played(timed: Iterable[Timed], instrument: HoleInstrument) -> list[Played]:
    """What the keys' messages play."""
    return [each for message in timed for each in instrument.hear(message)]


def holding(state: HoleState, touch: Touch, layout: KeyLayout = LEFT) -> tuple[KeyChanter, list[Played]]:
    """A chanter on which the keys of a state are held, and all that was played on the way there."""
    keys, instrument = KeyChanter(layout, touch), HoleInstrument(KEYS_MAP)
    down = [finger for finger in Finger if state.closed(finger) is (touch is Touch.CLOSED)]
    steps = [each for finger in down for each in played(keys.press(layout.scancode(finger), 1.0), instrument)]
    return keys, steps


@pytest.mark.parametrize("hand", UpperHand)
def test_every_finger_has_a_key_of_its_own_hand(hand: UpperHand) -> None:
    """By USB HID Usage Tables, keyboard page: A is 4, S 22, D 7, F 9, J 13, K 14, L 15, semicolon 51, space 44."""
    layout = KeyLayout.for_upper_hand(hand)
    left, right = {4, 22, 7, 9}, {13, 14, 15, 51}
    upper = {layout.scancode(finger) for finger in Finger if Finger.THUMB < finger <= Finger.UPPER_RING}
    lower = {layout.scancode(finger) for finger in Finger if finger > Finger.UPPER_RING}
    assert layout.scancode(Finger.THUMB) == 44
    assert (upper < left, lower == right) == (hand is UpperHand.LEFT, hand is UpperHand.LEFT)
    assert (upper < right, lower == left) == (hand is UpperHand.RIGHT, hand is UpperHand.RIGHT)


@pytest.mark.parametrize("touch", Touch)
@pytest.mark.parametrize("note", [note for note in Note if note is not Note.LOW_G])
def test_held_keys_finger_a_note(note: Note, touch: Touch) -> None:
    """A key held closes its hole, or lifts its finger."""
    keys, steps = holding(chart(note), touch)
    assert keys.state == chart(note)
    assert steps[-1] == Fingered(1.0, chart(note))


def test_a_key_outside_the_layout_is_not_the_chanters() -> None:
    """The window may use it for something else."""
    keys = KeyChanter(LEFT, Touch.CLOSED)
    assert list(keys.press(41, 0.0)) == []
    assert list(keys.release(41, 0.0)) == []


def test_a_key_that_repeats_while_it_is_held_tells_nothing_new() -> None:
    """Window systems repeat held keys."""
    keys, _ = holding(chart(Note.E), Touch.CLOSED)
    assert list(keys.press(LEFT.scancode(Finger.THUMB), 2.0)) == []


@pytest.mark.parametrize("touch", Touch)
def test_losing_the_keyboard_is_silence(touch: Touch) -> None:
    """No release will be told then, and a note must not sound on behind another window."""
    keys, instrument = KeyChanter(LEFT, touch), HoleInstrument(KEYS_MAP)
    played(keys.press(LEFT.scancode(Finger.UPPER_RING), 1.0), instrument)
    assert played(keys.let_go(2.0), instrument) == [Sounded(2.0, None)]
    back = played(keys.press(LEFT.scancode(Finger.UPPER_RING), 3.0), instrument)
    assert back[-1] == Fingered(3.0, keys.state)


def test_hands_off_is_silence_after_a_while() -> None:
    """Every hole open is no note of the chart, though fingers may pass through it."""
    keys, instrument = KeyChanter(LEFT, Touch.CLOSED), HoleInstrument(KEYS_MAP)
    played(keys.press(LEFT.scancode(Finger.THUMB), 1.0), instrument)
    assert played(keys.release(LEFT.scancode(Finger.THUMB), 2.0), instrument) == [Fingered(2.0, HoleState(0))]
    assert list(instrument.pass_time(9.0)) == [Sounded(2.0 + HANDS_OFF_S, None)]


def play_scale(keys: KeyChanter, *, most: int) -> KeyWatch:
    """Go up and down the nine notes on a keyboard that reports `most` keys at once and drops what comes after them."""
    held: list[Finger] = []
    for note in [*Note, *reversed(Note)] * 4:
        for finger in [finger for finger in held if not chart(note).closed(finger)]:
            held.remove(finger)
            list(keys.release(LEFT.scancode(finger), 0.0))
        for finger in Finger:
            if chart(note).closed(finger) and finger not in held and len(held) < most:
                held.append(finger)
                list(keys.press(LEFT.scancode(finger), 0.0))
    return keys.watch


def test_a_keyboard_that_drops_keys_is_found_out() -> None:
    """One that reports five keys cannot play C or E; a good one is not accused, nor one that was hardly used."""
    assert play_scale(KeyChanter(LEFT, Touch.CLOSED), most=5).seems_to_drop_keys
    assert not play_scale(KeyChanter(LEFT, Touch.CLOSED), most=8).seems_to_drop_keys
    assert not holding(chart(Note.HIGH_A), Touch.CLOSED)[0].watch.seems_to_drop_keys


def test_holding_all_keys_shows_how_many_arrive() -> None:
    """The plain check that the window can ask for."""
    assert holding(ALL_CLOSED, Touch.CLOSED)[0].watch.most_held == len(Finger)


def test_the_keys_needed_follow_from_the_chart() -> None:
    """Closing holes needs six for C and E, lifting fingers three for D and F, the most of what every tune has."""
    closed = {note: chart(note).bit_count() for note in Note}
    assert closed[Note.C] == closed[Note.E] == Touch.CLOSED.keys_needed
    assert len(Finger) - closed[Note.D] == len(Finger) - closed[Note.F] == Touch.LIFTED.keys_needed
