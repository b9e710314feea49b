"""`eightholes holes`: prints the timed hole states of a tune."""

from __future__ import annotations

import argparse
import json

from companion.commands.shared.options import add_timing_options, add_tune_options, timing_from, tune_from
from companion.schedule.build import build_schedule
from companion.schedule.events import EventKind, Schedule, TimedState

REST_LETTER = "z"
COLUMNS = "{:>10}  {:<10}  {:<6}  {}"


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the command's options."""
    add_tune_options(parser)
    parser.add_argument("--json", action="store_true", help="print JSON: at_ms, state, sounds (an ABC letter), kind")
    add_timing_options(parser)


def run(options: argparse.Namespace) -> int:
    """Print the hole states asked for. Raises UserError."""
    timing = timing_from(options)
    schedule = build_schedule(tune_from(options), timing)
    print(as_json(schedule) if options.json else as_table(schedule))
    return 0


def as_json(schedule: Schedule) -> str:
    """One JSON object with the list "states". Times are milliseconds from the first beat; rests sound "z"."""
    rows = [
        {"at_ms": at_ms(state), "state": str(state.state), "sounds": letter(state), "kind": state.kind.value}
        for state in schedule.states
    ]
    return json.dumps({"states": rows}, indent=1)


def as_table(schedule: Schedule) -> str:
    """The hole states of a schedule as a table for people: ms, holes, note that sounds, kind of event."""
    rows = (
        COLUMNS.format(f"{at_ms(state):.1f}", str(state.state), letter(state), state.kind.value)
        for state in schedule.states
    )
    return "\n".join((COLUMNS.format("ms", "holes", "sounds", "kind"), *rows))


def at_ms(state: TimedState) -> float:
    """When a state begins, in milliseconds from the first beat, rounded to the microsecond."""
    return round(state.at_s * 1000.0, 3)


def letter(state: TimedState) -> str:
    """The ABC letter of what is heard, "z" for silence."""
    return REST_LETTER if state.kind is EventKind.REST else state.sounds.letter
