"""Which port is which, by names as ALSA and JACK give them."""

from __future__ import annotations

import pytest

from companion.midi.stream.port_names import port_meant, port_returned, stable_name
from fingering.errors import UserError


@pytest.mark.parametrize(
    ("name", "stable"),
    [
        ("Chanter:Chanter MIDI 1 20:0", "Chanter:Chanter MIDI 1"),
        ("maker-01:chanter", "maker:chanter"),
        ("bridge:Chanter [20] (capture): MIDI 1", "bridge:Chanter (capture): MIDI 1"),
        ("system:midi_capture_1", "system:midi_capture_1"),
    ],
)
def test_the_part_that_stays_leaves_out_the_numbers_that_pass(name: str, stable: str) -> None:
    """Client numbers change with every plugging in."""
    assert stable_name(name) == stable


def test_a_port_that_comes_back_is_known_under_another_number() -> None:
    """The very same name is preferred, where two instruments are alike."""
    assert port_returned("Chanter:MIDI 20:0", ["Through:Port 14:0", "Chanter:MIDI 28:0"]) == "Chanter:MIDI 28:0"
    assert port_returned("Chanter:MIDI 20:0", ["Chanter:MIDI 28:0", "Chanter:MIDI 20:0"]) == "Chanter:MIDI 20:0"
    assert port_returned("Chanter:MIDI 20:0", ["Through:Port 14:0"]) is None


def test_a_part_of_a_name_will_do() -> None:
    """Upper and lower case are the same."""
    assert port_meant("chant", ["Through:Port 14:0", "Chanter:MIDI 28:0"]) == "Chanter:MIDI 28:0"


@pytest.mark.parametrize("present", [[], ["Through:Port 14:0"], ["Chanter:MIDI 20:0", "Chanter:MIDI 2 20:1"]])
def test_a_name_that_fits_no_port_or_several_is_told(present: list[str]) -> None:
    """In one line that lists what there is."""
    with pytest.raises(UserError) as caught:
        port_meant("chanter", present)
    assert all(name in str(caught.value) for name in present)
