"""A finished take heard twice: the second time with what the first has taught of its player.

Live, the ear learns a player's tempo, unsteadiness and customs as the notes come, and knows least at the beginning. A
take that is over is read by the same parts once, and told twice: what the second telling finds is what counts.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from companion.listen.align.aligner import Aligner
from companion.listen.align.cost.costs import LEFT_OUT_FROM, LONGEST_DOUBT_WHEN_OVER
from companion.listen.align.reading.steps import ReadStep
from companion.listen.find.interpret import Interpreter
from companion.listen.model.asked import Asked
from companion.listen.model.findings import Finding, FindingKind, finding_at, in_order
from companion.listen.model.misheard import AS_PLAYED, Misheard
from companion.listen.model.played import Played
from companion.listen.model.segments import Segmenter
from companion.listen.model.strictness import Strictness
from companion.listen.model.tally import Tally
from companion.listen.take.equal_notes import with_notes_again
from companion.listen.take.left_out import share_left_out
from companion.listen.take.notes_again import notes_begun_again_s, tell_notes_again


@dataclass(frozen=True, slots=True)
class TakeHeard:
    """What was heard in a whole take.

    findings: in order of time. moments: its played notes with when their beat was taken to be, in s.
    """

    findings: tuple[Finding, ...]
    tally: Tally
    moments: tuple[tuple[int, float], ...]


@dataclass(frozen=True, slots=True)
class TakeRead:
    """A take of a tune, and how each of its heard notes is read."""

    asked: Asked
    steps: tuple[ReadStep, ...]

    @property
    def cost(self) -> float:
        """How unlikely it is that the take was one of what was asked, as a logarithm (see `costs`)."""
        return sum(step.cost for step in self.steps)


def hear_twice(asked: Asked, events: Iterable[Played], strictness: Strictness) -> TakeHeard:
    """Hear a finished take. Raises UserError when time runs backwards."""
    return tell_twice(read_take(asked, events), strictness)


def read_take(asked: Asked, events: Iterable[Played]) -> TakeRead:
    """Read a finished take: once more where its player leaves out gracenotes by habit, which are expected to be missing
    then. Raises UserError when time runs backwards."""
    events = tuple(events)
    steps = _steps(asked, events, 0.0)
    left_out = share_left_out(asked, steps)
    if left_out >= LEFT_OUT_FROM:
        steps = _steps(asked, events, left_out)
    return TakeRead(asked, tuple(steps))


def _steps(asked: Asked, events: Iterable[Played], leaves_out: float) -> list[ReadStep]:
    segmenter, aligner = Segmenter(), Aligner(asked, leaves_out, LONGEST_DOUBT_WHEN_OVER)
    segments = [segment for event in events for segment in segmenter.feed(event)] + segmenter.finish()
    return [step for segment in segments for step in aligner.push(segment)] + aligner.finish()


def tell_twice(read: TakeRead, strictness: Strictness, misheard: Misheard = AS_PLAYED) -> TakeHeard:
    """Say what there is to say of a take that was read: what the second hearing says. misheard: how far it is
    misheard."""
    first = Interpreter.of(read.asked, strictness, misheard)
    told = _told(first, read.steps)
    second = first.once_more(notes_begun_again_s(read.asked, in_order(told), first.moments))
    steps = with_notes_again(read.asked, read.steps, first.moments)
    found = _told(second, steps) + _slow_gracenotes(read.asked, first, second.tally)
    findings = tell_notes_again(read.asked, in_order(found), second.moments)
    return TakeHeard(findings, second.tally, second.moments)


def _told(interpreter: Interpreter, steps: Sequence[ReadStep]) -> list[Finding]:
    return [finding for step in steps for finding in interpreter.take(step)] + interpreter.finish()


def _slow_gracenotes(asked: Asked, first: Interpreter, tally: Tally) -> list[Finding]:
    """Return that gracenotes were slow throughout, if the usual one was too long by itself."""
    places = [place for place in tally.places if asked.played(place[0]).note.gracenotes]
    usual_ms, limit_ms = first.usual_gracenote_ms, first.limits.gracenote_ms
    if usual_ms is None or usual_ms < limit_ms or not places:
        return []
    played, at_s = places[0]
    text = (
        f"All through the tune the gracenotes were slow: some {usual_ms:.0f} ms each, where up to {limit_ms:.0f} pass."
    )
    kind = FindingKind.LONG_GRACENOTE
    return [finding_at(asked, played, kind, at_s=at_s, ms=usual_ms, text=text, cause="slow", throughout=True)]
