"""Pictures as they are kept: of a tune on its staff, of reviews and verdicts made by hand, broken by no other wording.

After a change that is meant, write them anew: ``python3 -m tests.companion.window.pictures``, and look at each.
"""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pygame
from numpy.typing import NDArray

from companion.listen.model.findings import Finding, FindingKind
from companion.listen.model.strictness import Strictness
from companion.listen.verdict.headlines import Headline
from companion.listen.verdict.matter.drills import Drill
from companion.listen.verdict.verdict import Matter, Share, Verdict
from companion.midi.maps.keys import KEYS_MAP
from companion.midi.takes.reading import read_take
from companion.schedule.build import build_schedule
from companion.schedule.events import EventKind
from companion.schedule.timing import Timing
from companion.score.setting import Change
from companion.window.core.actions import Action
from companion.window.core.display import Display, Print
from companion.window.core.marks import Picture
from companion.window.core.screen import Canvas, ScreenResult
from companion.window.core.theme import NIGHT
from companion.window.paint.still import paint_still
from companion.window.staff.drawing import StaffAtOnce
from companion.window.takes.review import Review
from companion.window.takes.take_moves import judged, update_take
from companion.window.takes.take_state import TakeState, open_take
from companion.window.takes.take_view import TakeView
from companion.window.takes.verdict_screen import VerdictScreen
from fingering.holes import Finger
from fingering.notes import Note
from tests.companion.listen.verdict.found import tempo
from tests.companion.window import scenes
from tests.companion.window.lettered import lettering_for
from tests.companion.window.players import write_take

GOLDEN = Path(__file__).parent / "golden"
SIZE = (800, 600)
LEVELS = 15
"""Colours are kept in so many steps, so that a file needs no more than one byte for each of its pixels."""

PLAIN, BIG, DARK = Display(), Display(print=Print.BIG), Display(theme=NIGHT)
PACE = tempo(58.0, 54.0, 63.0)
LATE = "Bar 3: between C and E the upper ring finger was 37 ms late; low A was heard."


def _finding(at_s: float, text: str, kind: FindingKind = FindingKind.CROSSING, *fingers: Finger) -> Finding:
    return Finding(kind, at_s, 3, 7, 7, "e", "A", fingers, 37.0, text, "E", text)


def _matter(text: str, drill: str) -> Matter:
    return Matter((_finding(1.0, text),), Drill(drill, 5, 8, 4.0), text)


CROSSING = _matter(
    f"{LATE} Four times in all, in bars 3, 6 and 7.",
    "Play C and E back and forth, four times slower, each held until it is quiet: the upper ring finger first. Ten "
    "times clean, then in bar 3.",
)
GRACE = _matter(
    "Bar 1: the D gracenote on low A was left out.", "Play low A with its D gracenote alone, ten times; then in bar 1."
)
POINTED = _matter(
    "Bar 4: C to C was 1:1.2 where 2:1 is asked; hold the first, cut the second.",
    "Play the two notes over and over, 2 to 1 in length, the long one too long at first; then the whole bar.",
)


SETTING = replace(
    _matter(
        "In bars 2 and 6 you play B where this setting has C, both times: another setting?",
        "If you learnt it so, say so: from then on it is asked of you. If not, sing bar 2, then play it four times "
        "slower, naming each note; then with the bar after it.",
    ),
    setting=(Change(6, Note.C, Note.B),),
)


def _playing() -> Picture:
    """In the midst of an embellishment: what the README shows."""
    events = scenes.state().schedule.events
    gracenote = next(each for each in events if each.kind is EventKind.GRACENOTE and each.grace == 2)
    return scenes.picture((gracenote.start_s + gracenote.end_s) / 2, SIZE, staff=StaffAtOnce())


def _verdict(*matters: Matter, well: tuple[str, ...] = (), not_judged: tuple[str, ...] = ()) -> Verdict:
    return Verdict("Nets", matters, well, PACE, Share(118, 120), Share(70, 77), Share(100, 107), not_judged)


def _page(verdict: Verdict, display: Display, down: int = 0) -> Picture:
    screen = VerdictScreen(verdict, lambda rank: ScreenResult.STAY)
    for _ in range(down):
        screen.act(Action.TEMPO_DOWN)
    return screen.picture(Canvas(*SIZE, display, lettering_for(SIZE, display)))


def _review(display: Display, refusal: str = "", *actions: Action) -> Picture:
    """The take of the scenes' tune, with three things to mend where movements were late, or refused."""
    tune, timing = scenes.tune(), Timing()
    with tempfile.TemporaryDirectory() as folder:
        take = read_take(write_take(Path(folder), tune, build_schedule(tune, timing), timing, KEYS_MAP))
    take = replace(take, heading=replace(take.heading, began=take.heading.began.replace(tzinfo=None)))
    state = open_take(take, (tune,))
    late = [each.at_s for each in state.moments if 4.0 < each.at_s < 9.0][::5]
    findings = [_finding(at_s, LATE, FindingKind.CROSSING, Finger.UPPER_RING) for at_s in late]
    review = Review(Strictness.USUAL, tuple(findings), _verdict(*_matters(findings)), headlines=HEADLINES)
    state = judged(state, Review(Strictness.USUAL, refusal=refusal) if refusal else review)
    for action in actions:
        state = update_take(state, action, state.position_s)
    return _take_picture(state, display)


def _matters(findings: Sequence[Finding]) -> Iterator[Matter]:
    for matter, headline in zip((CROSSING, GRACE, POINTED), HEADLINES, strict=True):
        yield replace(matter, findings=tuple(findings[rank] for rank in headline.places))


HEADLINES = (
    Headline("upper ring late", "upper ring late, 3×", "bars 3, 6 and 7", (1, 2, 4)),
    Headline("no D gracenote", "no D gracenote", "bar 1", (0,)),
    Headline("pointed too little", "pointed too little", "bar 4", (3,)),
)


def _take_picture(state: TakeState, display: Display) -> Picture:
    at_s = state.position_s + (0.9 if state.loop else 0.0)
    return TakeView(lettering_for(SIZE, display)).picture(state, display, at_s, *SIZE)


WELL = ("Every melody note was right.", "Both strikes were good.", "Long notes were long and short notes short.")
REFUSED = "this does not sound like Nets on the Slip (23 % of the melody fits), so it is not judged; choose the tune "

PICTURES: Mapping[str, tuple[Display, Callable[[], Picture]]] = {
    "playing": (PLAIN, _playing),
    "verdict_crossings": (PLAIN, lambda: _page(_verdict(CROSSING, GRACE, POINTED, well=WELL), PLAIN)),
    "verdict_good": (PLAIN, lambda: _page(_verdict(well=WELL), PLAIN)),
    "verdict_night": (DARK, lambda: _page(_verdict(POINTED, well=WELL, not_judged=("Bar 2: it was skipped.",)), DARK)),
    "verdict_big_print": (BIG, lambda: _page(_verdict(CROSSING, GRACE, POINTED, well=WELL), BIG)),
    "verdict_second_page": (BIG, lambda: _page(_verdict(*(CROSSING, GRACE, POINTED) * 3, well=WELL), BIG, 11)),
    "verdict_setting": (PLAIN, lambda: _page(_verdict(SETTING, GRACE), PLAIN)),
    "review_matters": (PLAIN, lambda: _review(PLAIN)),
    "review_matters_big_print": (BIG, lambda: _review(BIG, "", Action.TEMPO_DOWN)),
    "review_finding": (PLAIN, lambda: _review(PLAIN, "", Action.FINDING_ON)),
    "review_all": (DARK, lambda: _review(DARK, "", Action.ALL_PLACES)),
    "review_loop": (DARK, lambda: _review(DARK, "", Action.HEAR_MINE)),
    "review_refused": (BIG, lambda: _review(BIG, f"{REFUSED}that was played")),
}


def drawn(name: str) -> NDArray[np.uint8]:
    """One of them, drawn now: pixels of three colours, in LEVELS steps."""
    display, picture = PICTURES[name]
    surface = paint_still(picture(), display, lettering_for(SIZE, display))
    pixels = pygame.surfarray.array3d(surface).astype(np.uint16)
    return ((pixels * LEVELS + 127) // 255 * (255 // LEVELS)).astype(np.uint8)


def kept(name: str) -> NDArray[np.uint8]:
    """The pixels of the golden picture of that name."""
    return pygame.surfarray.array3d(pygame.image.load(str(GOLDEN / f"{name}.png")))


def write(name: str) -> None:
    """Keep it as it is drawn now, as a picture with a palette."""
    pixels = drawn(name)
    colours, index = np.unique(pixels.reshape(-1, 3), axis=0, return_inverse=True)
    surface = pygame.Surface(SIZE, 0, 8)
    surface.set_palette([tuple(map(int, colour)) for colour in colours] + [(0, 0, 0)] * (256 - len(colours)))
    pygame.surfarray.blit_array(surface, index.reshape(SIZE).astype(np.uint8))
    pygame.image.save(surface, str(GOLDEN / f"{name}.png"))


if __name__ == "__main__":
    GOLDEN.mkdir(exist_ok=True)
    for each in PICTURES:
        write(each)
