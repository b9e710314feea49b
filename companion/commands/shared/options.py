"""The options of tune, timing and sound that several commands share, each with one default and one reading."""

from __future__ import annotations

import argparse
from typing import TypeVar

from companion.commands.shared.library import sound_tune
from companion.commands.shared.numbers import finite, whole
from companion.schedule.timing import BEATS_PER_MINUTE_RANGE, DEFAULT_BEATS_PER_MINUTE, SLOWEST, Gracing, Timing
from companion.score.model import Tune
from companion.sound.settings import (
    DEFAULT_CHANTER_LEVEL,
    DEFAULT_DRONES_LEVEL,
    DEFAULT_LOW_A_HZ,
    DEFAULT_METRONOME_LEVEL,
    HEARING_CAUTION,
    LOW_A_RANGE_HZ,
    SoundSettings,
    Voice,
)
from fingering.notes import TUNINGS

AS_WRITTEN = Timing()
DEFAULT_SOUND = SoundSettings()
Value = TypeVar("Value")


def add_tune_options(parser: argparse.ArgumentParser, *, default: str | None = None) -> None:
    """Add TUNE (a file, or the name of a bundled tune; `default` if it may be left out) and --tune N."""
    needed = None if default is None else "?"
    parser.add_argument(
        "file", metavar="TUNE", nargs=needed, default=default, help="a file of tunes, or a tune of ours"
    )
    add_reading_options(parser)


def add_reading_options(parser: argparse.ArgumentParser) -> None:
    """Add --tune, for a file of several, and --transpose."""
    parser.add_argument(
        "--tune", metavar="N", type=whole, help="the tune numbered X:N in the file (default: the first)"
    )
    add_transpose_option(parser)


def add_transpose_option(parser: argparse.ArgumentParser) -> None:
    """Add --transpose, for tunes that were not written for a chanter."""
    parser.add_argument(
        "--transpose",
        metavar="N",
        type=whole,
        default=0,
        help="read the tune N semitones higher, or lower (default: 0)",
    )


def add_timing_options(parser: argparse.ArgumentParser) -> None:
    """Add --tempo, --slow and --crisp; the first two are None where they are not given."""
    low, high = BEATS_PER_MINUTE_RANGE
    parser.add_argument(
        "--tempo",
        metavar="N",
        type=finite,
        help=f"beats a minute, {low:g} to {high:g} (default: the tune's own, else {DEFAULT_BEATS_PER_MINUTE:g})",
    )
    parser.add_argument("--slow", metavar="F", type=finite, help=f"slow-down, 1 to {SLOWEST:g} times (default: 1)")
    parser.add_argument(
        "--crisp", action="store_true", help="slow down the melody only: gracenotes keep their own length"
    )


def add_sound_options(parser: argparse.ArgumentParser) -> None:
    """Add the options of voice, pitch, tuning and levels; each is None where it is not given."""
    low, high = LOW_A_RANGE_HZ
    group = parser.add_argument_group("sound", HEARING_CAUTION)
    group.add_argument("--voice", choices=[voice.value for voice in Voice], help="which chanter sounds")
    group.add_argument(
        "--low-a",
        metavar="HZ",
        type=finite,
        help=f"the pipe chanter's low A, {low:g} to {high:g} Hz (default: {DEFAULT_LOW_A_HZ:g})",
    )
    group.add_argument("--tuning", choices=[each.name for each in TUNINGS])
    _add_level(group, "--chanter", DEFAULT_CHANTER_LEVEL)
    _add_level(group, "--drones", DEFAULT_DRONES_LEVEL)
    group.add_argument(
        "--no-drones", dest="drones", action="store_const", const=0.0, help="the chanter alone, the same as --drones 0"
    )
    group.add_argument("--metronome", action="store_const", const=DEFAULT_METRONOME_LEVEL, help="tick on each beat")
    group.add_argument(
        "--metronome-level", dest="metronome", metavar="LEVEL", type=finite, help="the same at a level of 0 to 1"
    )


def _add_level(group: argparse._ArgumentGroup, flag: str, default: float) -> None:
    part = flag.removeprefix("--")
    group.add_argument(flag, metavar="LEVEL", type=finite, help=f"level of the {part}, 0 to 1 (default: {default:g})")


def tune_from(options: argparse.Namespace) -> Tune:
    """The tune that the options name, ready to be played whole. Raises UserError at its first error."""
    return sound_tune(options.file, options.tune, options.transpose)


def timing_from(options: argparse.Namespace, kept: Timing = AS_WRITTEN) -> Timing:
    """The timing asked for, the rest as it was `kept`. Raises UserError for a tempo or slow-down out of reach."""
    return Timing(
        beats_per_minute=_first(options.tempo, kept.beats_per_minute),
        slow_down=_first(options.slow, kept.slow_down),
        gracing=Gracing.CRISP if options.crisp else kept.gracing,
    )


def settings_from(options: argparse.Namespace, kept: SoundSettings = DEFAULT_SOUND) -> SoundSettings:
    """The sound asked for, the rest as it was `kept`. Raises UserError for a pitch or level out of reach."""
    return SoundSettings(
        voice=Voice(options.voice) if options.voice else kept.voice,
        low_a_hz=_first(options.low_a, kept.low_a_hz),
        tuning=next((each for each in TUNINGS if each.name == options.tuning), kept.tuning),
        chanter_level=_first(options.chanter, kept.chanter_level),
        drones_level=_first(options.drones, kept.drones_level),
        metronome_level=_first(options.metronome, kept.metronome_level),
        pulse=kept.pulse,
    )


def _first(asked: Value | None, kept: Value) -> Value:
    """What the options ask for, or `kept` where that is None."""
    return kept if asked is None else asked
