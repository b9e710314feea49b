"""The options for playing in: ports, the computer's keys, how it sounds, takes."""

from __future__ import annotations

import argparse
import os
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from companion.commands.shared.tune_list import TuneList, tune_list_for
from companion.files.places import on_this_computer
from companion.lesson.progress.names import checked_name
from companion.midi.maps.touch import Touch
from companion.midi.ports.driver import Backend
from companion.sound.settings import LatencyMode, LiveSettings
from fingering.errors import UserError

if TYPE_CHECKING:
    from companion.midi.takes.reading import Take
    from companion.window.program import Wishes

_TOUCHES = {"closed": Touch.CLOSED, "lifted": Touch.LIFTED}


def add_playing_options(parser: argparse.ArgumentParser) -> None:
    """Add --listen (or --midi), --midi-out, --keys, --no-live-sound, --low-latency, --free, --class, --learner, --take
    and --backend."""
    group = parser.add_argument_group("playing in")
    group.add_argument(
        "--listen",
        "--midi",
        metavar="NAME",
        help="listen to this MIDI port or microphone (default: the one used last)",
    )
    group.add_argument("--midi-out", metavar="NAME", help="send what is played to this MIDI port as well")
    group.add_argument(
        "--keys",
        choices=_TOUCHES,
        nargs="?",
        const="closed",
        help="play on eight of the computer's keys; a key held closes its hole, or, where a keyboard drops keys, lifts "
        "its finger",
    )
    group.add_argument("--no-live-sound", action="store_true", help="for an instrument that makes its own sound")
    group.add_argument("--low-latency", action="store_true", help="sound sooner, with a click at each change")
    group.add_argument("--free", action="store_true", help="free play, without a tune")
    group.add_argument("--class", dest="classroom", action="store_true", help="the class, projected before learners")
    group.add_argument(
        "--learner", metavar="NAME", default="", help="who plays: takes, lessons and what is known are by that name"
    )
    group.add_argument("--take", metavar="FILE", type=Path, help="play a take back: a MIDI file, or TUNE recorded")
    add_backend_option(parser)


def wishes_from(options: argparse.Namespace, kept: LiveSettings) -> Wishes:
    """What the options ask to be played in on; the sound as it was `kept` where they say nothing of it.

    Raises UserError for a learner's name that is none.
    """
    from companion.window.program import Wishes

    live = replace(
        kept,
        level=0.0 if options.no_live_sound else kept.level,
        way=LatencyMode.LOW_LATENCY if options.low_latency else kept.way,
    )
    touch = _TOUCHES[options.keys] if options.keys else None
    learner = checked_name(options.learner)
    return Wishes(options.listen, touch, live, options.midi_out, Backend(options.backend), learner=learner)


def tune_list_of_take(take: Take, name: str | None) -> TuneList:
    """The tunes of the file `name`, else of the file that the take names; the tune that was played comes first.

    A take can come from anyone: a file that it names is opened on this computer only.
    """
    from companion.midi.takes.heading import content_hash

    told = take.heading.tune
    if name is None and told and on_this_computer(told.file) and os.path.isfile(told.file):
        name = told.file
    try:
        tune_list = tune_list_for(name, None)
    except UserError:
        tune_list = tune_list_for(None, None)
    found = next((tune for tune in tune_list.tunes if told and content_hash(tune) == told.content), None)
    return replace(tune_list, first=found or tune_list.first)


def add_backend_option(parser: argparse.ArgumentParser) -> None:
    """Add --backend, for every command that opens MIDI ports."""
    parser.add_argument(
        "--backend",
        choices=[backend.value for backend in Backend],
        default=Backend.SYSTEM.value,
        help="whose MIDI ports: the system's own (ALSA on Linux), or a running JACK server's (default: system)",
    )
