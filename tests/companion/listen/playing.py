"""Short tunes and takes written as text, for facts about the ear."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from companion.listen.find.listener import Listener, listen
from companion.listen.model.asked import Asked, ask
from companion.listen.model.findings import Finding, FindingKind
from companion.listen.model.played import Fingered, Played, Sounded
from companion.listen.model.strictness import Strictness
from companion.schedule.build import build_schedule
from companion.schedule.timing import Timing
from companion.score.abc import read_abc
from companion.score.model import Tune
from fingering.chart import chart
from fingering.notes import Note

QUAVER_S = 0.5
GRACE_S = 0.04

FOUR_BARS = (
    "A{g}B{d}c{g}d e{g}fe{g}d|{gcd}c2{g}B{d}A {gAd}A2{g}Bc|{gde}d2{g}e{g}f {gef}e2{g}dc|{gBd}B2{g}c{d}B {gAd}A4|"
)


def tune_of(music: str, tempo: str = "1/4=60") -> Tune:
    """A tune in 4/4, quavers by default, at 60 crotchets a minute or another tempo."""
    return read_abc_text(f"%abc-2.1\nX:1\nT:A test\nM:4/4\nL:1/8\nQ:{tempo}\nK:HP\n{music}\n")


def read_abc_text(text: str) -> Tune:
    """The first tune of an ABC text."""
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "test.abc"
        path.write_text(text, encoding="utf-8")
        return read_abc(path).tunes[0]


def asked_of(music: str) -> Asked:
    """What a tune asks for."""
    return ask(build_schedule(tune_of(music), Timing()))


def played_as(asked: Asked, ratio: float = 1.0, start_s: float = 1.0) -> list[Sounded]:
    """Exactly what is asked, so many times slower."""
    events = asked.schedule.events
    told = [Sounded(start_s + ratio * event.start_s, event.note) for event in events]
    return [*told, Sounded(start_s + ratio * asked.schedule.duration_s, None)]


def leapt(asked: Asked, left: int, reached: int) -> list[Sounded]:
    """The take that goes on from token `reached` once it has come to token `left`."""
    events = played_as(asked)
    last, first = asked.tokens[left].first, asked.tokens[reached].first
    later_s = events[last].at_s - events[first].at_s
    return [*events[:last], *(Sounded(event.at_s + later_s, event.note) for event in events[first:])]


def delayed(events: list[Sounded], rank: int, by_s: float) -> list[Sounded]:
    """The take with everything from that event on so much later."""
    return [*events[:rank], *(Sounded(event.at_s + by_s, event.note) for event in events[rank:])]


def fingered(events: list[Sounded]) -> list[Played]:
    """The same take as hole sensors tell it: each note in its own fingering, silence as it is."""
    return [event if event.note is None else Fingered(event.at_s, chart(event.note)) for event in events]


def heard(asked: Asked, events: Sequence[Played], strictness: Strictness = Strictness.USUAL) -> list[Finding]:
    """The findings in a take."""
    return list(listen(events, Listener(asked, strictness)))


def kinds(findings: list[Finding]) -> list[FindingKind]:
    """Their kinds, in order of time."""
    return [finding.kind for finding in findings]


def index_of(asked: Asked, played: int, grace: int | None = None) -> int:
    """Which event is that gracenote of that played note, or the note itself."""
    return next(rank for rank, each in enumerate(asked.schedule.events) if (each.played, each.grace) == (played, grace))


def with_note(events: list[Sounded], at_s: float, note: Note, lasts_s: float) -> list[Sounded]:
    """The take with a note put into it; what sounded before goes on after it, if nothing new began meanwhile."""
    before = [event for event in events if event.at_s <= at_s]
    after = [event for event in events if event.at_s >= at_s + lasts_s]
    resumed = [] if after and after[0].at_s == at_s + lasts_s else [Sounded(at_s + lasts_s, before[-1].note)]
    return [*before, Sounded(at_s, note), *resumed, *after]
