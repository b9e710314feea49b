"""`eightholes pack`: puts a recording, its tune and what was made of both into one file, to be kept or sent by hand."""

from __future__ import annotations

import argparse
import json
import shutil
import tempfile
import textwrap
import time
import zipfile
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

from companion.commands.shared.options import add_tune_options, tune_from
from companion.commands.shared.outputs import add_output_options, check_output_of
from companion.commands.shared.progress import percent_shown
from companion.commands.takes.hear import as_json
from companion.files.lines import one_line, quoted
from companion.files.writing import whole_file
from companion.hearing.files.sound_file import open_sound, write_flac
from companion.hearing.takes.endings import is_recording
from companion.hearing.takes.kept_hearing import hearing_version
from companion.hearing.takes.recordings import hear_recording, voice_of_sound
from companion.hearing.takes.sound_take import hear_take_sound, judge_sound_take, recorded_take
from companion.listen.judgement import judgement_to_data
from companion.midi.takes.reading import Take, read_take
from companion.score.formats.abc_text.writer import abc_of
from companion.score.model import Tune
from fingering.errors import UserError

RECORDING, TUNE, HEARD, JUDGED, ABOUT = "recording.flac", "tune.abc", "heard.json", "judged.json", "README.txt"
TAKE = "take.mid"
VOICE = f"{Path(RECORDING).stem}.voice"
"""Beside the recording, so that it is found where both are unpacked."""
ENDING = ".zip"

_WIDTH = 78
_IN_MEMORY_BYTES = 64_000_000


@dataclass(frozen=True, slots=True)
class _Made:
    """What is in the file beside the sound, each as text."""

    tune: str
    heard: str
    judged: str
    about: str


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the command's options."""
    add_tune_options(parser)
    parser.add_argument("recording", metavar="RECORDING", type=Path, help="a sound file, or a take that has its sound")
    parser.add_argument(
        "--about",
        metavar="WORDS",
        default="",
        help="what whoever opens it should know: which chanter and reed, which microphone, how far away",
    )
    add_output_options(parser, "the .zip file to write; it is written here and sent nowhere")


def run(options: argparse.Namespace) -> int:
    """Write the file and print its path and contents. Raises UserError for what is no recording or no tune."""
    if options.output.suffix.lower() != ENDING:
        raise UserError(f"{quoted(str(options.output))} is not a ZIP file", "give a name that ends in .zip")
    check_output_of(options, options.output, tune=options.file, others=(options.recording,))
    tune = tune_from(options)
    take = _take_from(options.recording, tune)
    made = _made(tune, take, options.about)
    sound = take.sound
    assert sound is not None
    with whole_file(options.output, force=options.force) as stream:
        _write(stream, made, sound, take)
    print(f"{one_line(str(options.output))}: {', '.join(_names(take))}")
    return 0


def _take_from(path: Path, tune: Tune) -> Take:
    """Raises UserError for a take without sound."""
    take = recorded_take(path, tune) if is_recording(path) else read_take(path)
    if take.sound is None:
        remedy = "give a recording, or a take that was played on a microphone"
        raise UserError("this take has no sound beside it", remedy, one_line(str(path)))
    return take


def _made(tune: Tune, take: Take, about: str) -> _Made:
    """All that is made of a recording; where nothing is heard in it, or it cannot be judged, that says why."""
    assert take.sound is not None
    judged: dict[str, Any]
    try:
        heard = as_json(hear_recording(take.sound, percent_shown("hearing")).heard)
        judged = judgement_to_data(judge_sound_take(tune, hear_take_sound(take)))
    except UserError as refusal:
        judged = {"refused": refusal.what}
        heard = _heard_or_why(take.sound)
    return _Made(abc_of(tune), heard, json.dumps(judged, indent=1), _about(tune, take, about))


def _heard_or_why(sound: Path) -> str:
    try:
        return as_json(hear_recording(sound).heard)
    except UserError as refusal:
        return json.dumps({"refused": refusal.what}, indent=1)


def _about(tune: Tune, take: Take, about: str) -> str:
    """The short text that says what is inside."""
    has_take = _has_take(take)
    said = one_line(about).strip()
    paragraphs = [
        f"A recording of {one_line(tune.title) or 'a tune'}, made on {take.heading.began:%Y-%m-%d}"
        f" ({one_line(take.heading.source)}).",
        *([f"Its player says: {said}"] if said else []),
        "It was put together by 'eightholes pack' on its player's own computer, and was sent nowhere by that program."
        " Whoever has it got it from the player, or from someone to whom the player gave it. It holds what was played"
        " and whatever else was to be heard in the room.",
    ]
    rows = [
        (RECORDING, "the sound, with no sample changed but for its width of 16 bits"),
        (TUNE, "the tune that was to be played, in ABC 2.1"),
        (HEARD, "which notes the program heard in the sound, as 'eightholes hear --json' prints them"),
        (JUDGED, "what it found amiss, as 'eightholes judge --json' prints it"),
        *([(TAKE, "what was told while it was played, a Standard MIDI File")] if has_take else []),
        *([(VOICE, "what was known of the chanter, by which it was heard")] if _voice_of(take) else []),
    ]
    width = max(len(name) for name, _ in rows)
    listed = "\n".join(f"{name:<{width}}  {words}" for name, words in rows)
    version = f"The hearing was of version {hearing_version()[:12]}."
    return "\n\n".join([*(textwrap.fill(each, _WIDTH) for each in paragraphs), listed, version]) + "\n"


def _has_take(take: Take) -> bool:
    return take.path != take.sound


def _voice_of(take: Take) -> bytes | None:
    return voice_of_sound(take.sound) if take.sound else None


def _names(take: Take) -> tuple[str, ...]:
    more = (*((TAKE,) if _has_take(take) else ()), *((VOICE,) if _voice_of(take) else ()))
    return (ABOUT, TUNE, HEARD, JUDGED, *more, RECORDING)


def _write(stream: IO[bytes], made: _Made, sound: Path, take: Take) -> None:
    texts = {ABOUT: made.about, TUNE: made.tune, HEARD: made.heard, JUDGED: made.judged}
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, text in texts.items():
            packed.writestr(name, text.encode("utf-8"))
        if _has_take(take) and take.path is not None:
            packed.write(take.path, TAKE)
        if voice := _voice_of(take):
            packed.writestr(VOICE, voice)
        entry = zipfile.ZipInfo(RECORDING, time.localtime()[:6])  # not deflated: FLAC is as small as it gets
        with tempfile.SpooledTemporaryFile(_IN_MEMORY_BYTES) as flac:
            write_flac(flac, open_sound(sound))
            flac.seek(0)
            with packed.open(entry, "w", force_zip64=True) as inside:
                shutil.copyfileobj(flac, inside)
