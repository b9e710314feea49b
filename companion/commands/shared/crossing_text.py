"""What `eightholes cross` prints: crossings as JSON values and as text for people."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from companion.schedule.events import EventKind, Schedule
from companion.schedule.transitions import TuneTransition
from companion.score.model import Tune
from fingering.acoustics.sounding import Sounding
from fingering.crossings.analysis import Crossing
from fingering.crossings.passing import Passing, PassingKind
from fingering.crossings.teaching import teach
from fingering.crossings.timing import AUDIBLE_MS, OWN_NOTE_MS, HeldState
from fingering.holes import Finger
from fingering.notes import Note, Tuning

COMPUTED = "All pitches are computed for a reference practice chanter, not measured: yours will differ a little."
MANY_STATES = 24  # above this only the states that sound foreign are listed
PLACES_SHOWN = 4


def pair_data(start: Note, end: Note, crossing: Crossing, late: Sequence[HeldState] | None = None) -> dict[str, Any]:
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


def pair_text(start: Note, end: Note, crossing: Crossing, late: Sequence[HeldState] | None, spread_ms: float) -> str:
    """A crossing in words: lines of text."""
    rows = [
        f"{start.label} to {end.label}",
        f"  up          {', '.join(labels(crossing.transition.lifts)) or '-'}",
        f"  down        {', '.join(labels(crossing.transition.drops)) or '-'}",
        f"  teach       {crossing.lesson.sentence}",
        f"  orders      {crossing.order_count}, of them {crossing.clean_order_count} clean",
        f"  difficulty  {_percent(crossing.difficulty)}: {_meaning(spread_ms)}",
        "",
        *_state_rows(crossing),
        *(() if late is None else _late_rows(start, end, late)),
        "",
        COMPUTED,
    ]
    return "\n".join(rows)


def _meaning(spread_ms: float) -> str:
    return (
        f"the chance of hearing a foreign note ({AUDIBLE_MS:g} ms or more) when all fingers aim at one moment "
        f"and each misses it with a spread of {spread_ms:g} ms"
    )


def _state_rows(crossing: Crossing) -> list[str]:
    shown = in_order(crossing)
    rows = ["  holes       sounds    cents"]
    if len(shown) > MANY_STATES:
        chosen = tuple(each for each in shown if each.kind is not PassingKind.CLEAN)
        rows.append(f"  ({len(shown) - len(chosen)} clean states on the way are left out)")
        shown = chosen
    rows.extend(
        f"  {each.state!s:<10}  {each.sounding.note.label:<7}  {_cents(each.sounding)}  {_what(each)}" for each in shown
    )
    return rows


def _cents(sounding: Sounding) -> str:
    return f"{round(sounding.off_note_cents):+5d} ±{round(sounding.uncertainty_cents):<2d}"


def _what(passing: Passing) -> str:
    return f"{passing.kind.value} ({passing.sort.value})" if passing.sort else passing.kind.value


def _late_rows(start: Note, end: Note, late: Sequence[HeldState]) -> list[str]:
    rows = ["", "  with the fingers held back as asked:", f"    {start.label}"]
    for each in late:
        rows.append(f"    {each.lasts_ms:g} ms of {each.state}: {each.sounding.note.label}{_verdict(each)}")
    rows.append(f"    {end.label}")
    return rows


def _verdict(each: HeldState) -> str:
    if each.kind is not PassingKind.FOREIGN:
        return ", clean"
    if each.lasts_ms < AUDIBLE_MS:
        return ", foreign, too short to hear"
    return ", foreign, a blemish" if each.lasts_ms < OWN_NOTE_MS else ", foreign, a note of its own"


def _percent(chance: float) -> str:
    return f"{100.0 * chance:.0f} %"


def map_text(pairs: Mapping[tuple[Note, Note], Crossing], spread_ms: float) -> str:
    """The map of all pairs as text, followed by the pairs from the worst on."""
    head = "from \\ to " + "".join(f"{note.label:>8}" for note in Note)
    grid = [
        f"{start.label:<10}"
        + "".join(f"{_percent(pairs[start, end].difficulty) if start is not end else '':>8}" for end in Note)
        for start in Note
    ]
    worst = sorted(pairs.items(), key=lambda item: (-item[1].difficulty, -item[1].order_count, item[0]))
    rows = [
        f"{_percent(crossing.difficulty):>5}  {f'{start.label} to {end.label}':<17}  {crossing.lesson.sentence}"
        for (start, end), crossing in worst
        if crossing.order_count > 1
    ]
    alone = f"The other {len(pairs) - len(rows)} pairs move one finger only."
    return "\n".join((_capital(_meaning(spread_ms)) + ".", "", head, *grid, "", *rows, alone, "", COMPUTED))


def _capital(text: str) -> str:
    return text[0].upper() + text[1:]


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
        }
        rows.append(row)
    return {"tune": tune.title, "transitions": rows}


def bars(schedule: Schedule, each: TuneTransition) -> tuple[int, ...]:
    """The numbers of the written bars in which a transition ends, each once, in order."""
    return tuple(sorted({schedule.played[schedule.events[event].played].bar.number for event in each.events}))


def tune_text(tune: Tune, schedule: Schedule, found: Sequence[TuneTransition], tuning: Tuning, spread_ms: float) -> str:
    """A tune's transitions in words; those that cannot sound a foreign note are only counted."""
    risky = [each for each in found if each.difficulty > 0.0]
    rows = [
        f"{each.expected:>6.1f}  {each.count:>3} x {_percent(each.difficulty):>4}  "
        f"{_ends_text(schedule, each):<28}  bars {_bars_text(schedule, each)}: "
        f"{teach(each.transition, tuning).sentence}"
        for each in risky
    ]
    safe = sum(each.count for each in found) - sum(each.count for each in risky)
    return "\n".join(
        (
            f"{tune.title}: what to drill, worst first",
            "Foreign notes to be expected in one time through = how often it comes x difficulty.",
            f"A difficulty is {_meaning(spread_ms)}. Leading with the right finger makes it smaller.",
            "",
            *rows,
            f"{safe} other movements cannot sound a foreign note.",
            "",
            COMPUTED,
        )
    )


def _ends_text(schedule: Schedule, each: TuneTransition) -> str:
    """The two ends of a transition in words: "E to high G gracenote"."""
    first = each.events[0]
    ends = ((each.start, schedule.events[first - 1]), (each.end, schedule.events[first]))
    return " to ".join(note.label + (" gracenote" if event.kind is EventKind.GRACENOTE else "") for note, event in ends)


def _bars_text(schedule: Schedule, each: TuneTransition) -> str:
    numbers = [str(number) for number in bars(schedule, each)]
    more = ["..."] if len(numbers) > PLACES_SHOWN else []
    return ", ".join(numbers[:PLACES_SHOWN] + more)
