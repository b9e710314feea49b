"""What is wrong with a port that is followed, in the words of the window."""

from __future__ import annotations

import pytest

from companion.midi.ports.named_ports import InputPort, Listening, PortState
from companion.window.live.input_messages import in_plain_words, source_messages

FAILED = "reading the MIDI port has failed (KeyError: 3); plug the instrument in again"


@pytest.mark.parametrize("state", [PortState.OPEN, PortState.REFUSED])
def test_what_failed_is_told_also_while_the_port_is_read_again(state: PortState) -> None:
    """A thread that failed was started anew, which nobody would know of."""
    port = InputPort("Chanter:Chanter MIDI 1", Listening())
    port.state, port.trouble = state, FAILED
    assert list(source_messages(port, was_there=True)) == [in_plain_words(FAILED)]


def test_a_port_that_is_read_as_it_should_be_costs_no_line() -> None:
    """Nor one that is only waited for."""
    port = InputPort("Chanter:Chanter MIDI 1", Listening())
    assert list(source_messages(port, was_there=False)) == []
    port.state = PortState.OPEN
    assert list(source_messages(port, was_there=True)) == []


def test_what_a_midi_library_said_is_not_for_the_screen() -> None:
    """The line says what is wrong and what to do; a name in quotation marks keeps its brackets."""
    told = "the MIDI port 'Chanter (2)' cannot be opened (MidiInJack::openPort: error code 3); see to it"
    assert in_plain_words(told) == "the MIDI port 'Chanter (2)' cannot be opened; see to it"
    assert in_plain_words("Chanter is gone; plug it in again") == "Chanter is gone; plug it in again"
