"""A finished take heard twice: the second time with what the first has taught of its player.

Live, the ear learns a player's tempo, unsteadiness and customs as the notes come, and knows least at the beginning. A
take that is over is read by the same parts once, and told twice: what the second telling finds is what counts.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from companion.listen.align.aligner import Aligner
from companion.listen.align.steps import Step
from companion.listen.find.interpret import Interpreter
from companion.listen.model.asked import Asked
from companion.listen.model.findings import Finding
from companion.listen.model.played import Played
from companion.listen.model.segments import Segmenter
from companion.listen.model.strictness import Strictness
from companion.listen.model.tally import Tally
from companion.listen.rhythm.rhythm import OnsetJudge


@dataclass(frozen=True, slots=True)
class TakeHeard:
    """What was heard in a whole take.

    findings: in order of time. moments: its played notes with when their beat was taken to be, in s. ratio: played
    seconds for each asked one, as heard last; None from too few notes.
    """

    findings: tuple[Finding, ...]
    tally: Tally
    moments: tuple[tuple[int, float], ...]
    ratio: float | None


def hear_twice(asked: Asked, events: Iterable[Played], strictness: Strictness) -> TakeHeard:
    """Hear a finished take. Raises UserError when time runs backwards."""
    limits = strictness.limits.slowed(asked.terms.gracenotes_slowed)
    steps, ratio = _read(asked, events)
    judge = OnsetJudge(asked, limits, against_metronome=asked.terms.metronome_bpm is not None)
    first = Interpreter(asked, limits, judge)
    _told(first, steps)
    second = Interpreter(asked, limits, first.rhythm.once_more(), first.gracenotes)
    found = _told(second, steps)
    return TakeHeard(in_order(found), second.tally, tuple(second.rhythm.moments), ratio)


def _read(asked: Asked, events: Iterable[Played]) -> tuple[list[Step], float | None]:
    """Return how each heard note of a take is read, and the tempo heard last."""
    segmenter, aligner = Segmenter(), Aligner(asked)
    segments = [segment for event in events for segment in segmenter.feed(event)] + segmenter.finish()
    steps = [step for segment in segments for step in aligner.push(segment)] + aligner.finish()
    return steps, aligner.ratio


def _told(interpreter: Interpreter, steps: Sequence[Step]) -> list[Finding]:
    return [finding for step in steps for finding in interpreter.take(step)] + interpreter.finish()


def in_order(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return findings in order of time."""
    return tuple(sorted(findings, key=lambda finding: (finding.at_s, finding.kind.value)))
