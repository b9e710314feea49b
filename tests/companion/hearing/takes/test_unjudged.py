"""What is said of what was not judged in a recording: what covered it, by its name, and what to do."""

from __future__ import annotations

from dataclasses import replace

import pytest

from companion.hearing.heard import HeardSound, SoundTrouble
from companion.hearing.takes.again import AGAIN, FoundAgain
from companion.hearing.takes.unjudged import melody_alone, partly_covered
from companion.listen.model.findings import Finding, FindingKind
from tests.companion.listen.playing import asked_of

pytestmark = pytest.mark.same_everywhere

SOUND = HeardSound(240.0, (240.0,) * 9, False, -40.0, 0.0, 0.012, 9.0, ())


@pytest.mark.parametrize(
    ("changes", "covered", "remedy"),
    [
        ({"echo_s": 0.3}, "the room's echo covers", "record within half a metre of the microphone"),
        ({"drones": True}, "drones cover", "record without drones"),
        ({"drones": True, "noise_db": -10.0}, "drones cover", "record without drones"),
        ({"noise_db": -14.0}, "noise or other sound covers", "record where it is quiet"),
        ({"troubles": (SoundTrouble.CLIPPED,)}, "clipping covers", "turn the recording's level down"),
        (
            {"echo_s": 0.3, "drones": True},
            "the room's echo and drones cover",
            "record within half a metre of the microphone and record without drones",
        ),
    ],
)
def test_what_covers_short_sounds_is_named(changes: dict[str, object], covered: str, remedy: str) -> None:
    """Each by itself, with its own remedy."""
    sound = replace(SOUND, **changes)  # type: ignore[arg-type]
    assert partly_covered(2, sound) == f"Short sounds at 2 places, which {covered}; {remedy}."
    assert melody_alone(sound) == f"Gracenotes, crossings and stops: {covered} them; {remedy}."


def test_a_trouble_that_hides_short_sounds_says_so_itself() -> None:
    """A vibrato is neither echo nor noise."""
    wavering = replace(SOUND, troubles=(SoundTrouble.WAVERING,))
    assert melody_alone(wavering) == f"Gracenotes, crossings and stops: {SoundTrouble.WAVERING.value}."


def test_what_is_the_same_at_many_places_is_known() -> None:
    """A gracenote that is heard by one wrong name three times; not two times, nor by two names."""
    asked = asked_of("{g}A2 {g}B2 {g}c2 {g}d2|{g}A2 {g}B2 {g}c2 {g}d2|{e}A2 {e}B2 {e}c2 {e}d2|")

    def wrong(played: int, heard: str) -> Finding:
        return Finding(FindingKind.WRONG_GRACENOTE, float(played), 1, 0, played, "g", heard, (), None, "", "", None)

    thrice = [wrong(played, "d") for played in range(AGAIN)]
    assert FoundAgain(thrice, asked).holds(wrong(9, "d"))
    assert not FoundAgain(thrice, asked).holds(wrong(9, "f"))
    assert not FoundAgain(thrice[1:], asked).holds(thrice[1])


@pytest.mark.parametrize(("bars", "known"), [(2, False), (9, True)])
def test_who_leaves_out_many_gracenotes_is_told_so(bars: int, *, known: bool) -> None:
    """Three missing of 8 are the player's, three alike of 36 the sound's."""
    asked = asked_of("{g}A2 {g}B2 {g}c2 {g}d2|" * bars)
    one = Finding(FindingKind.MISSING_GRACENOTE, 1.0, 1, 0, 2, "g", "", (), None, "", "", None)
    assert FoundAgain([one] * AGAIN, asked).holds(one) is known
