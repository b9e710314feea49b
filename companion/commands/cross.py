"""`eightholes cross`: tells what lies between two notes, lists a tune's movements worst first, or maps all."""

from __future__ import annotations

import argparse
import json
from collections.abc import Mapping
from pathlib import Path

from companion.commands.shared import crossing_json, crossing_text
from companion.commands.shared.crossing_options import note_named, read_late
from companion.commands.shared.library import sound_tune
from companion.commands.shared.numbers import finite
from companion.commands.shared.options import add_reading_options
from companion.commands.shared.outputs import add_force_option, check_output_of
from companion.schedule.build import build_schedule
from companion.schedule.crossing import NamedTransition, crossing_schedule, taught_ms
from companion.schedule.timing import SLOWEST, Timing
from companion.schedule.transitions import transitions
from fingering.crossings.analysis import all_pairs, analyse
from fingering.crossings.difficulty import GOOD_SPREAD_MS, SPREAD_RANGE_MS
from fingering.crossings.timing import LATEST_MS, HeldState, heard
from fingering.crossings.transition import Transition
from fingering.errors import UserError
from fingering.holes import Finger
from fingering.notes import HARMONIC, TUNINGS, Note, Tuning

FORMS = "give two notes (cross d e), or a tune, or --all"


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the command's options."""
    low, high = SPREAD_RANGE_MS
    parser.usage = "eightholes cross FROM TO [--late FINGER=MS] | cross TUNE [--tune N] | cross --all   [options]"
    parser.epilog = crossing_text.COMPUTED
    parser.add_argument(
        "words",
        metavar="FROM TO",
        nargs="*",
        help="two notes, as ABC letters (G A B c d e f g a) or names ('low A'); or one TUNE, a file or a tune of ours",
    )
    parser.add_argument("--all", action="store_true", help="every change of note, and what to drill first")
    parser.add_argument(
        "--late",
        metavar="FINGER=MS",
        action="append",
        default=[],
        help=f"hold a finger back ('upper ring=40', up to {LATEST_MS:g} ms) and tell what is heard; may be given again",
    )
    add_reading_options(parser)
    parser.add_argument(
        "--spread",
        metavar="MS",
        type=finite,
        default=GOOD_SPREAD_MS,
        help=f"spread of each finger's time, {low:g} to {high:g} ms (default: {GOOD_SPREAD_MS:g})",
    )
    parser.add_argument("--tuning", choices=[each.name for each in TUNINGS], default=HARMONIC.name)
    parser.add_argument(
        "-o",
        "--output",
        metavar="FILE",
        type=Path,
        help="a sound file to write the crossing to",
    )
    add_force_option(parser)
    parser.add_argument(
        "--slow", metavar="F", type=finite, default=1.0, help=f"slow-down of that sound, 1 to {SLOWEST:g} (default: 1)"
    )
    parser.add_argument(
        "--json",
        action="store_true",
        help="print JSON; cents are from the note that a state sounds as, kinds are from, to, clean and foreign",
    )


def run(options: argparse.Namespace) -> int:
    """Print what was asked for; returns the exit status. Raises UserError."""
    tuning = next(each for each in TUNINGS if each.name == options.tuning)
    if len(options.words) == 2 and not options.all:
        _cross_pair(options, tuning)
        return 0
    for given, flag in ((options.late, "--late"), (options.output, "--output")):
        if given:
            raise UserError(f"{flag} needs two notes", "name them: cross a e --late 'upper ring=40' -o a-e.wav")
    if options.all and not options.words:
        _cross_all(options, tuning)
    elif len(options.words) == 1 and not options.all:
        _cross_tune(options, tuning)
    else:
        raise UserError("cross cannot tell what is meant", FORMS)
    return 0


def _cross_pair(options: argparse.Namespace, tuning: Tuning) -> None:
    start, end = map(note_named, options.words)
    if options.output:
        from companion.sound.files.sound_file import check_sound_ending

        check_output_of(options, options.output)
        check_sound_ending(options.output)
    transition = Transition.between(start, end)
    late: tuple[HeldState, ...] | None = heard(transition, read_late(options.late), tuning) if options.late else None
    crossing = analyse(transition, tuning, spread_ms=options.spread)
    if options.output:
        off_ms = read_late(options.late) if options.late else taught_ms(crossing.lesson)
        _write_sound(options, NamedTransition(transition, start, end), off_ms, tuning)
    if options.json:
        _print_json(crossing_json.pair_data(start, end, crossing, tuning, late))
    else:
        print(crossing_text.pair_text(start, end, crossing, late, options.spread))


def _write_sound(
    options: argparse.Namespace, named: NamedTransition, off_ms: Mapping[Finger, float], tuning: Tuning
) -> None:
    """Write the crossing as a sound file: the chanter alone, so that no drone covers what lies between."""
    from companion.sound.files.sound_file import write_sound
    from companion.sound.renderer import Renderer
    from companion.sound.settings import SoundSettings

    schedule = crossing_schedule(named, off_ms, options.slow)
    sound = SoundSettings(tuning=tuning, drones_level=0.0)
    write_sound(options.output, Renderer(schedule, sound), force=options.force)


def _cross_all(options: argparse.Namespace, tuning: Tuning) -> None:
    pairs = all_pairs(tuning, spread_ms=options.spread)
    if options.json:
        _print_json(crossing_json.map_data(pairs, tuning))
    else:
        print(crossing_text.map_text(pairs))


def _cross_tune(options: argparse.Namespace, tuning: Tuning) -> None:
    name = options.words[0]
    if name in {note.letter for note in Note}:
        raise UserError(f"only one note, '{name}', was given", FORMS)
    tune = sound_tune(name, options.tune, options.transpose)
    schedule = build_schedule(tune, Timing())
    found = transitions(schedule, tuning, spread_ms=options.spread)
    if options.json:
        _print_json(crossing_json.tune_data(tune, schedule, found, tuning))
    else:
        print(crossing_text.tune_text(tune, schedule, found, tuning))


def _print_json(data: object) -> None:
    print(json.dumps(data, indent=1))
