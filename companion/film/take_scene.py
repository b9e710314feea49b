"""A take as a film: as it is played back in review, each finding said in words as it comes by."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace

from companion.film.scene import END_S, STILL_S
from companion.listen.model.findings import Finding
from companion.sound.renderer import Renderer
from companion.sound.settings import SoundSettings
from companion.window.core.display import Display
from companion.window.core.hints import Hint
from companion.window.core.marks import Label, Mark, Measure, Picture
from companion.window.core.page import Page
from companion.window.core.screen import Canvas
from companion.window.core.wording import wrapped_within
from companion.window.staff.staff_line import StaffSource
from companion.window.takes.matters_view import Block, Manner, Room, faultless, words_block
from companion.window.takes.recorded.take_sound import opened_sound, playback_gain
from companion.window.takes.take_state import Lighting, TakeState, heard_s, heard_schedule, taken_s
from companion.window.takes.take_view import TakeView
from companion.window.takes.take_words import told_words

BEFORE_S = 0.4
"""How long before a finding comes to the chanter its sentence is there, in seconds of the film."""

LEAST_READ_S = 2.0
"""How long a sentence stays at least: a finding that comes within that time is marked in the lanes and not said."""

LONGEST_SHOWN_S = 5.0
"""How long it stays where no other follows."""

SENTENCE_LINES = 2


@dataclass(frozen=True, slots=True)
class SaidFinding:
    """The rank of a finding, and from when to when its sentence is shown, in seconds of the film."""

    rank: int
    from_s: float
    to_s: float


def said_findings(found_s: Sequence[float]) -> tuple[SaidFinding, ...]:
    """Which findings are said, and when, where they come to the chanter at `found_s`, in order: none for less than
    LEAST_READ_S, so that the words can be read and do not flicker.
    """
    said: list[SaidFinding] = []
    for rank, at_s in enumerate(found_s):
        from_s = at_s - BEFORE_S
        if said and from_s < said[-1].from_s + LEAST_READ_S:
            continue
        if said:
            said[-1] = replace(said[-1], to_s=min(said[-1].to_s, from_s))
        said.append(SaidFinding(rank, from_s, from_s + LONGEST_SHOWN_S))
    return tuple(said)


def no_keys(state: TakeState, display: Display) -> Sequence[Hint]:
    """No keys at the foot, since a film has none to press."""
    return ()


def film_words(state: TakeState, display: Display, page: Page, room: Room, measure: Measure, now_s: float) -> Block:
    """The words at the top: always as tall, so that nothing jumps as sentences come and go, and without buttons."""
    if faultless(state):
        return words_block(state, display, page, Room(room.height, Manner.BARE), measure, now_s)
    told, style, role = told_words(state, now_s)
    lines = wrapped_within(told, style, page.inner, SENTENCE_LINES, measure)
    top = page.top + page.title_height
    marks: list[Mark] = [
        Label(page.margin, page.words_y(top, rank), text, style, role) for rank, text in enumerate(lines)
    ]
    return Block(page.title_height + SENTENCE_LINES * page.line, tuple(marks), ())


class TakeScene:
    """A take that was reviewed, played back from its beginning to its end."""

    def __init__(
        self, state: TakeState, sound: SoundSettings, canvas: Canvas, staff: StaffSource | None = None
    ) -> None:
        """state: that of the screen which plays it back, as slow as it is to be heard. staff: who engraves its tune."""
        self._state = replace(state, lighting=Lighting.ALL, chosen=None, loop=None, playing=True)
        self._canvas, self._staff = canvas, staff
        self._view = TakeView(canvas.measure, no_keys, film_words)
        self._said = said_findings([STILL_S + heard_s(state, each.at_s) for each in self._findings])
        schedule = heard_schedule(self._state)
        self.title = f"Take of {state.take.heading.shown_title}"
        self.length_s = STILL_S + schedule.duration_s + END_S
        played = opened_sound(state.take)
        self.renderer = Renderer(
            schedule, sound, recorded=played.beside(self._state, playback_gain(self._state)) if played else None
        )
        self.renderer.seek(-STILL_S)

    @property
    def _findings(self) -> tuple[Finding, ...]:
        return self._state.review.findings if self._state.review else ()

    def picture(self, at_s: float) -> Picture:
        """What is to be seen: before the take's beginning and after its end all stands still."""
        take_s = taken_s(self._state, max(0.0, at_s - STILL_S))
        state = replace(self._state, chosen=self._said_at(at_s))
        canvas = self._canvas
        now_s = min(take_s, state.take.end_s)
        return self._view.picture(state, canvas.display, now_s, canvas.width, canvas.height, self._staff)

    def _said_at(self, at_s: float) -> int | None:
        index = bisect_right(self._said, at_s, key=lambda each: each.from_s) - 1
        return self._said[index].rank if index >= 0 and at_s < self._said[index].to_s else None
