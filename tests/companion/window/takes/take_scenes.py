"""The list of takes and takes that were not judged, as screens."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

from companion.midi.takes.reading import Listing, Summary
from companion.sound.player import SilentPlayer
from companion.window.takes.review import Review, another_tune
from companion.window.takes.take_moves import judged
from companion.window.takes.take_screen import TakeScreen
from companion.window.takes.take_state import open_take
from companion.window.takes.takes_screen import TakesScreen
from fingering.errors import UserError
from tests.companion.midi.spoilt import HEADING
from tests.companion.window import scenes
from tests.companion.window.players import Clock
from tests.companion.window.takes.reviewing import ONE_SLIP, slipping_take
from tests.companion.window.takes.test_kept_line import FOLDER, LONGEST_SLUG


@cache
def takes(count: int, problems: int = 0) -> TakesScreen:
    """The list of so many takes, the last with the longest name."""
    heading = replace(HEADING, tune=None)
    names = [LONGEST_SLUG, *(f"{rank}.mid" for rank in range(count - 1))][:count]
    listed = tuple(Summary(heading, 3, 10.0, Path("/x") / name) for name in names)
    errors = tuple(UserError(f"{LONGEST_SLUG} is no take", "play another one") for _ in range(problems))
    return TakesScreen(Listing(listed, errors), FOLDER, lambda take: None)


@cache
def of_another_tune() -> TakeScreen:
    """A take that was laid beside a tune, and is clearly one of another, with a long name."""
    screen = unjudged("not judged")
    played = replace(
        scenes.tune(), title="The Long and Winding Lament for the Departure of the Last of the Herring Boats"
    )
    state = replace(screen.state, review=None)
    other = TakeScreen(state, SilentPlayer(Clock()), lambda: None)
    other.finish_review()
    assert state.asked is not None
    other.state = judged(state, another_tune(state.strictness, state.asked.tune, played))
    return other


@cache
def unjudged(refusal: str = "", *, tune_is_here: bool = True) -> TakeScreen:
    """A take in review, before it is judged, or refused, or whose tune is not here."""
    tune, take = slipping_take(ONE_SLIP)
    state = open_take(take, (tune,) if tune_is_here else ())
    screen = TakeScreen(state, SilentPlayer(Clock()), lambda: None)
    screen.finish_review()
    state = replace(state, review=None)
    screen.state = judged(state, Review(state.strictness, refusal=refusal)) if refusal else state
    return screen
