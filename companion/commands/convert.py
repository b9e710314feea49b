"""`eightholes convert FROM TO`: writes tunes in another format, by the ending of the new file's name."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from companion.commands.shared.library import first_error, open_book, print_problems
from companion.commands.shared.options import add_reading_options, add_timing_options, timing_from
from companion.commands.shared.outputs import add_force_option, check_output_of
from companion.commands.shared.progress import Progress
from companion.files.lines import one_line
from companion.files.writing import write_whole
from companion.schedule.timing import Timing
from companion.score.choose import choose_tune
from companion.score.formats.kinds import TuneFormat, format_of_name
from companion.score.formats.losses import lost_in
from companion.score.model import Tune, Tunebook
from fingering.errors import UserError

_STATUS = "Exit status: 0 when all was written, 1 where tunes with errors were left out, 2 where nothing was written."


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the command's options."""
    endings = ", ".join(each.endings[0] for each in TuneFormat)
    parser.epilog = _STATUS
    parser.add_argument("file", metavar="FROM", help="a file of tunes, or a tune of ours")
    parser.add_argument("output", metavar="TO", type=Path, help=f"the file to write; its ending says how: {endings}")
    parser.add_argument(
        "--each", action="store_true", help="write each tune of a book into a file of its own: TO-1, TO-2 and so on"
    )
    add_reading_options(parser)
    add_force_option(parser)
    add_timing_options(parser)


def run(options: argparse.Namespace) -> int:
    """Write what is asked for, and print which files were written. Raises UserError."""
    written = _format_asked_for(options.output)
    timing = _timing(options, written)
    book = open_book(options.file, options.transpose)
    wished = book.tunes if options.tune is None else (choose_tune(book, options.tune),)
    tunes = _sound(book, wished)
    outputs = _outputs(options, tunes, written)
    for output, _ in outputs:
        check_output_of(options, output, tune=options.file)
    progress = Progress("written", len(outputs))
    for output, held in outputs:
        write_whole(output, _WRITERS[written](held, timing), force=options.force)
        progress.step()
    progress.end()
    for output, _ in outputs:
        print(one_line(str(output)))
    _say_lost(tunes, written)
    return 1 if len(tunes) < len(wished) else 0


def _format_asked_for(output: Path) -> TuneFormat:
    written = format_of_name(output.name)
    if written is None:
        endings = ", ".join(ending for each in TuneFormat for ending in each.endings)
        raise UserError("the ending of this name stands for no format", f"end it in {endings}", one_line(str(output)))
    return written


def _timing(options: argparse.Namespace, written: TuneFormat) -> Timing:
    timed = options.tempo is not None or options.slow is not None or options.crisp
    if timed and written is not TuneFormat.MIDI:
        what = f"{written.label} is written, not played: it has no slow-down and no other tempo than the tune's"
        raise UserError(what, "leave --tempo, --slow and --crisp out, or write a .mid file")
    return timing_from(options)


def _sound(book: Tunebook, wished: Sequence[Tune]) -> tuple[Tune, ...]:
    """The tunes that can be written whole. Those with errors are told and left out; where none is left, refused."""
    told = [(tune, book.problems_of(tune)) for tune in wished]
    sound = tuple(tune for tune, problems in told if first_error(problems) is None)
    if not sound:
        for _, problems in told:
            error = first_error(problems)
            if error is not None:
                raise error
        raise UserError("there is no tune in it", "write one", book.source)
    for _, problems in told:
        print_problems(problems)
    return sound


def _outputs(
    options: argparse.Namespace, tunes: Sequence[Tune], written: TuneFormat
) -> list[tuple[Path, tuple[Tune, ...]]]:
    """The files to write, each with its tunes."""
    output: Path = options.output
    if options.each:
        width = len(str(len(tunes)))
        numbered = (output.with_name(f"{output.stem}-{i:0{width}}{output.suffix}") for i in range(1, len(tunes) + 1))
        return [(path, (tune,)) for path, tune in zip(numbered, tunes, strict=True)]
    if len(tunes) > 1 and written is not TuneFormat.ABC:
        what = f"there are {len(tunes):,} tunes in it, and a file of {written.label} holds one"
        raise UserError(what, "choose one with --tune N, or write all with --each", one_line(str(options.file)))
    return [(output, tuple(tunes))]


def _say_lost(tunes: Sequence[Tune], written: TuneFormat) -> None:
    lost = lost_in(tunes, written)
    if lost:
        print(f"eightholes: {written.label} has no place for {lost}", file=sys.stderr)


# The modules that write are loaded only for the format that is asked for.


def _abc(tunes: Sequence[Tune], timing: Timing) -> bytes:
    from companion.score.formats.abc_text.writer import abc_book

    return abc_book(tunes).encode("utf-8")


def _musicxml(tunes: Sequence[Tune], timing: Timing) -> bytes:
    from companion.score.formats.musicxml_out.writer import musicxml_of

    return musicxml_of(tunes[0]).encode("utf-8")


def _packed_musicxml(tunes: Sequence[Tune], timing: Timing) -> bytes:
    from companion.score.formats.musicxml_out.writer import packed_musicxml_of

    return packed_musicxml_of(tunes[0])


def _mei(tunes: Sequence[Tune], timing: Timing) -> bytes:
    from companion.score.engrave.mei import mei_of

    return mei_of(tunes[0]).encode("utf-8")


def _midi(tunes: Sequence[Tune], timing: Timing) -> bytes:
    from companion.midi.files.tune_file import midi_of

    return midi_of(tunes[0], timing)


_WRITERS: Mapping[TuneFormat, Callable[[Sequence[Tune], Timing], bytes]] = {
    TuneFormat.ABC: _abc,
    TuneFormat.MUSICXML: _musicxml,
    TuneFormat.PACKED_MUSICXML: _packed_musicxml,
    TuneFormat.MEI: _mei,
    TuneFormat.MIDI: _midi,
}
