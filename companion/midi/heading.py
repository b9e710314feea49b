"""What a take is a take of: the tune and how it was timed, when, and on what it was played."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from datetime import datetime
from types import MappingProxyType
from typing import Any

from companion.midi.map_text import Map, map_from_data, map_to_data
from companion.schedule.pace import Pace
from companion.schedule.timing import Gracing, Placement, Timing
from companion.score.model import Tune
from fingering.embellishments import Family

FORMAT = "eightholes take 1"
CROTCHET = 0.25  # of a whole note
DEFAULT_CROTCHET_S = 0.5  # where there is no tune: 120 a minute, the Standard MIDI File's own default


@dataclass(frozen=True, slots=True)
class TuneIdentity:
    """Which tune: its title, the file and the X: reference it came from, and a hash of its notes and their order."""

    title: str
    file: str
    reference: str
    content: str

    @classmethod
    def of(cls, tune: Tune) -> TuneIdentity:
        """The identity of a tune."""
        return cls(tune.title, tune.place.source, tune.reference, content_hash(tune))


def content_hash(tune: Tune) -> str:
    """SHA-256, in hex, of what is played: notes, lengths, gracenotes, metres, order. Titles and layout do not count."""
    lines = [f"order {' '.join(map(str, tune.order))}"]
    for bar in tune.bars:
        lines.append(f"bar {bar.meter.text} {bar.length}")
        for note in bar.notes:
            graces = " ".join(f"{grace.note.letter}{grace.length}" for grace in note.gracenotes)
            lines.append(f"note {note.note.letter if note.note is not None else 'z'} {note.duration} {{{graces}}}")
    return hashlib.sha256("\n".join(lines).encode()).hexdigest()


@dataclass(frozen=True, slots=True)
class Heading:
    """Everything about a take but the playing.

    began: when, with its time zone. tune, timing and turns: what was asked (turns: first and stop of the stretch of the
    tune's order); None in free play. tune_starts_s: from the take's beginning to the first melody note's beat, a
    count-in. crotchet_s: how long a crotchet lasts as played, slow-down included. metronome: whether one kept the time
    with the tune. source: the port's name, or what else was played on. known: the map in force; None where it is to be
    inferred.
    """

    began: datetime
    source: str
    known: Map | None = None
    tune: TuneIdentity | None = None
    timing: Timing | None = None
    turns: tuple[int, int] | None = None
    tune_starts_s: float = 0.0
    crotchet_s: float = DEFAULT_CROTCHET_S
    metronome: bool = False


def crotchet_s(tune: Tune, timing: Timing) -> float:
    """Seconds that a crotchet of the tune's first bar lasts as played, to the microsecond as a file keeps it."""
    return round(Pace(tune, timing).seconds_per_whole(tune.bars[0]) * timing.slow_down * CROTCHET, 6)


def heading_to_text(heading: Heading) -> str:
    """The heading as one line of ASCII text; crotchet_s is left out, since the file's tempo tells it."""
    tune = heading.tune
    return json.dumps(
        {
            "format": FORMAT,
            "began": heading.began.isoformat(),
            "source": heading.source,
            "map": map_to_data(heading.known),
            "tune": tune
            and {"title": tune.title, "file": tune.file, "reference": tune.reference, "content": tune.content},
            "timing": heading.timing and _timing_to_data(heading.timing),
            "turns": heading.turns,
            "tune_starts_s": heading.tune_starts_s,
            "metronome": heading.metronome,
        }
    )


def heading_from_text(text: str, *, tempo_s: float) -> Heading:
    """What `heading_to_text` made; `tempo_s` is a crotchet's length.

    Raises KeyError, TypeError, ValueError or UserError for any other text.
    """
    data = json.loads(text)
    began = datetime.fromisoformat(data["began"])
    if began.tzinfo is None:
        raise ValueError("its beginning has no time zone")
    return Heading(
        began=began,
        source=str(data["source"]),
        known=map_from_data(data["map"]),
        tune=TuneIdentity(**data["tune"]) if data["tune"] else None,
        timing=_timing_from_data(data["timing"]) if data["timing"] else None,
        turns=(int(data["turns"][0]), int(data["turns"][1])) if data["turns"] else None,
        tune_starts_s=float(data["tune_starts_s"]),
        crotchet_s=tempo_s,
        metronome=bool(data.get("metronome", False)),  # takes of before it was kept do not tell
    )


def _timing_to_data(timing: Timing) -> dict[str, Any]:
    return {
        "beats_per_minute": timing.beats_per_minute,
        "slow_down": timing.slow_down,
        "gracing": timing.gracing.value,
        "placements": {family.value: placement.value for family, placement in timing.placements.items()},
        "gracenote_s": timing.gracenote_s,
        "max_share": timing.max_share,
        "lead_s": timing.lead_s,
    }


def _timing_from_data(data: dict[str, Any]) -> Timing:
    placements = {Family(family): Placement(place) for family, place in data["placements"].items()}
    return Timing(**{**data, "gracing": Gracing(data["gracing"]), "placements": MappingProxyType(placements)})
