"""What `eightholes cross --json` prints: crossings as JSON values."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from companion.schedule.events import Schedule
from companion.schedule.transitions import TuneTransition
from companion.schedule.tune_use import NotePair, drill_first, use_in_our_tunes
from companion.score.model import Tune
from fingering.acoustics.sounding import Sounding
from fingering.crossings.analysis import Crossing
from fingering.crossings.hardness import Hardness, hardness
from fingering.crossings.noise import LikelyNoise, likely_noises
from fingering.crossings.passing import Passing
from fingering.crossings.teaching import teach
from fingering.crossings.timing import HeldState
from fingering.crossings.transition import Transition
from fingering.holes import Finger
from fingering.notes import Note, Tuning


def pair_data(
    start: Note, end: Note, crossing: Crossing, tuning: Tuning, late: Sequence[HeldState] | None = None
) -> dict[str, Any]:
    """A crossing as JSON: note letters, finger names, cents from the note that each state sounds as."""
    data: dict[str, Any] = {
        "from": start.letter,
        "to": end.letter,
        "lifts": labels(crossing.transition.lifts),
        "drops": labels(crossing.transition.drops),
        "orders": crossing.order_count,
        "clean_orders": crossing.clean_order_count,
        "teach": labels(crossing.lesson.order),
        "teach_text": crossing.lesson.sentence,
        "states": [_state_data(passing) for passing in in_order(crossing)],
        "difficulty": round(crossing.difficulty, 6),
        **_hardness_data(crossing.transition, crossing.hardness, tuning),
        "in_tunes": _use_data((start, end)),
    }
    if late is not None:
        data["late"] = [_heard_data(each) for each in late]
    return data


def _state_data(passing: Passing) -> dict[str, Any]:
    return {
        "state": str(passing.state),
        **_sounding_data(passing.sounding),
        "kind": passing.kind.value,
        "sort": passing.sort.value if passing.sort else None,
    }


def _sounding_data(sounding: Sounding) -> dict[str, Any]:
    return {
        "sounds": sounding.note.letter,
        "cents": round(sounding.off_note_cents, 1) + 0.0,  # no -0.0
        "cents_above_low_a": round(sounding.cents, 1),
        "uncertainty_cents": sounding.uncertainty_cents,
    }


def _heard_data(each: HeldState) -> dict[str, Any]:
    return {
        "at_ms": each.start_ms,
        "ms": each.lasts_ms,
        "state": str(each.state),
        **_sounding_data(each.sounding),
        "kind": each.kind.value,
    }


def in_order(crossing: Crossing) -> tuple[Passing, ...]:
    """The states of a crossing by how many fingers have moved, the start first and the end last."""
    ranks = sorted(range(len(crossing.passings)), key=lambda moved: (moved.bit_count(), moved))
    return tuple(crossing.passings[moved] for moved in ranks)


def labels(fingers: Sequence[Finger]) -> list[str]:
    """The names of fingers."""
    return [finger.label for finger in fingers]


def map_data(pairs: Mapping[NotePair, Crossing], tuning: Tuning) -> dict[str, Any]:
    """Every change of note as JSON, and the order in which to drill them."""
    order = drill_first({pair: crossing.hardness for pair, crossing in pairs.items()}, use_in_our_tunes())
    return {
        "pairs": [pair_data(*pair, crossing, tuning) for pair, crossing in pairs.items()],
        "drill_first": [[start.letter, end.letter] for start, end in order],
    }


def tune_data(tune: Tune, schedule: Schedule, found: Sequence[TuneTransition], tuning: Tuning) -> dict[str, Any]:
    """A tune's transitions as JSON, what most needs drill first."""
    rows = []
    for each in found:
        lesson = teach(each.transition, tuning)
        row = {
            "from": each.start.letter,
            "to": each.end.letter,
            "from_state": str(each.transition.start),
            "to_state": str(each.transition.end),
            "count": each.count,
            "difficulty": round(each.difficulty, 6),
            "expected": round(each.expected, 6),
            "teach": labels(lesson.order),
            "teach_text": lesson.sentence,
            "bars": list(bars(schedule, each)),
            **_hardness_data(each.transition, hardness(each.transition, tuning), tuning),
        }
        rows.append(row)
    return {"tune": tune.title, "transitions": rows}


def bars(schedule: Schedule, each: TuneTransition) -> tuple[int, ...]:
    """The numbers of the written bars in which a transition ends, each once, in order."""
    return tuple(sorted({schedule.played[schedule.events[event].played].bar.number for event in each.events}))


def _hardness_data(transition: Transition, hard: Hardness, tuning: Tuning) -> dict[str, Any]:
    """How hard a movement is, and the crossing noises in it, the likeliest first."""
    return {
        "noises": [_noise_data(noise) for noise in likely_noises(transition, tuning)],
        "hard": hard.level.label,
        "hard_weight": hard.weight,
        "hard_because": [
            {"what": demand.hard.value, "weight": demand.weight, "words": demand.words, "why": demand.why}
            for demand in hard.demands
        ],
    }


def _noise_data(noise: LikelyNoise) -> dict[str, Any]:
    """A crossing noise; `fingers` are off their time by as much as they usually are, early below 0."""
    return {
        "sounds": noise.note.letter,
        "kind": noise.kind.value,
        "ms": noise.lasts_ms,
        "share": round(noise.share, 6),
        "fingers": {slip.finger.label: slip.ms for slip in noise.slips},
    }


def _use_data(pair: NotePair) -> dict[str, int]:
    """How often the tunes that come with the program ask for a change of note, and in how many of them."""
    use = use_in_our_tunes()
    return {"times": use.times.get(pair, 0), "tunes": use.tunes.get(pair, 0), "of": use.tune_count}
