"""`eightholes sheet TUNE...`: prints tunes as hand-outs, a tune alone, a book of many, or a page of embellishments."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from types import MappingProxyType

from companion.commands.shared.embellishment_options import add_strip_options, subjects_from
from companion.commands.shared.library import find_file, sound_tunes
from companion.commands.shared.numbers import whole
from companion.commands.shared.options import add_transpose_option
from companion.commands.shared.outputs import add_output_options, check_output_of
from companion.commands.shared.progress import Progress, ProgressLine
from companion.files.lines import one_line, quoted
from companion.files.writing import write_all
from companion.handout.make import embellishments_handout, tunes_handout
from companion.handout.model import Handout, HandoutStyle, TuneExtent
from companion.handout.setting import set_handout
from companion.handout.typesetting import PageFormat
from companion.score.engrave.pages import engrave
from companion.score.engrave.paper import A4, LETTER
from companion.score.engrave.style import KeySignature, StaffStyle, TitlePlace
from companion.score.model import Tune
from fingering.errors import UserError

_PAPERS = MappingProxyType({"a4": A4, "letter": LETTER})
_SIGNATURES = MappingProxyType({"sharps": KeySignature.SHARPS, "none": KeySignature.NONE})
_TITLES = MappingProxyType({"centre": TitlePlace.CENTRE, "left": TitlePlace.LEFT})
_FORMATS = MappingProxyType({f".{form.value}": form for form in PageFormat})
_FORMS = "give tunes, or --strip EMBELLISHMENT..."


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the command's options."""
    parser.add_argument("files", metavar="TUNE", nargs="*", help="files of tunes, or tunes of ours; all tunes of each")
    parser.add_argument(
        "--tune",
        metavar="N",
        type=whole,
        action="append",
        help="the tune numbered X:N of each file; can be given again (default: all)",
    )
    add_transpose_option(parser)
    parser.add_argument(
        "--whole", action="store_true", help="the tune alone, without plan, phrases and finger movements"
    )
    add_strip_options(parser)
    parser.add_argument("--paper", choices=_PAPERS, default="a4", help="the size of the paper (default: a4)")
    parser.add_argument("--title", choices=_TITLES, default="centre", help="where titles stand (default: centre)")
    parser.add_argument(
        "--key-signature",
        choices=_SIGNATURES,
        default="sharps",
        help="the key signature that is printed: F and C sharp, or none (default: sharps)",
    )
    add_output_options(
        parser, "a name that ends in .pdf, .svg or .png; several pages of the last two are FILE-1, FILE-2, ..."
    )


def run(options: argparse.Namespace) -> int:
    """Write what was asked for, and print which files were written. Raises UserError."""
    if bool(options.files) is bool(options.strip):
        raise UserError("it is not clear what to print", _FORMS)
    _check_outputs(options, [options.output])
    form = _FORMATS.get(options.output.suffix.lower())
    if form is None:
        raise UserError(f"{quoted(str(options.output))} is no page", "give a name that ends in .pdf, .svg or .png")
    pages = _named(options.output, _pages(options, form))
    _check_outputs(options, pages)
    write_all(pages, force=options.force)
    for path in pages:
        print(one_line(str(path)))
    return 0


def _check_outputs(options: argparse.Namespace, paths: Iterable[Path]) -> None:
    """Refuse files that cannot or must not be written, as the tunes that are read. Raises UserError."""
    inputs = [find_file(file) for file in options.files]
    for path in paths:
        check_output_of(options, path, others=inputs)


def _pages(options: argparse.Namespace, form: PageFormat) -> Sequence[bytes]:
    """The files that are to be written. Raises UserError."""
    style = _style(options)
    if options.strip:
        subjects = subjects_from(options)
        return _set(
            embellishments_handout([(each.embellishment, each.before) for each in subjects], style), style, form
        )
    tunes = [tune for file in options.files for tune in sound_tunes(file, options.tune, options.transpose)]
    _tell_words(tunes)
    progress = Progress("engraved", len(tunes))
    try:
        if options.whole and form is PageFormat.SVG:
            return _engraved(tunes, style, progress)
        handout = tunes_handout(tunes, style, _book_title(options.files), progress.step)
    finally:
        progress.end()
    return _set(handout, style, form)


def _tell_words(tunes: Sequence[Tune]) -> None:
    """Say of which tunes the words are not printed, as those that are sung."""
    sung = [tune.title or "a tune" for tune in tunes if any(field.key in ("w", "W") for field in tune.fields)]
    if sung:
        others = f" and {len(sung) - 1} more" if len(sung) > 1 else ""
        print(f"eightholes: the words of {quoted(sung[0])}{others} are not printed, the tune is", file=sys.stderr)


def _style(options: argparse.Namespace) -> HandoutStyle:
    staff = StaffStyle(key_signature=_SIGNATURES[options.key_signature], title=_TITLES[options.title])
    return HandoutStyle(staff, _PAPERS[options.paper], TuneExtent.WHOLE if options.whole else TuneExtent.LESSON)


def _engraved(tunes: Sequence[Tune], style: HandoutStyle, progress: Progress) -> Sequence[bytes]:
    """The pages of tunes as they come from the engraver, whose classes and ids a program can find its way by."""
    pages: list[bytes] = []
    for tune in tunes:
        pages += (page.encode("utf-8", "replace") for page in engrave(tune, style.staff, style.paper).pages)
        progress.step()
    return pages


def _set(handout: Handout, style: HandoutStyle, form: PageFormat) -> Sequence[bytes]:
    """The pages of a hand-out; of signs that no font has it is said which."""
    waiting = ProgressLine()
    waiting.show("setting the pages")
    try:
        pages = set_handout(handout, style, form)
    finally:
        waiting.clear()
    if pages.missing:
        what = f"no font here has the sign {quoted(pages.missing)}, so it is not printed as it should be"
        print(f"eightholes: {what}; install a font that has it, or leave it away", file=sys.stderr)
    return pages.files


def _named(output: Path, pages: Sequence[bytes]) -> Mapping[Path, bytes]:
    """What is written into which file: one page as the name says, several with a number each."""
    if len(pages) == 1:
        return {output: pages[0]}
    return {output.with_stem(f"{output.stem}-{number}"): page for number, page in enumerate(pages, start=1)}


def _book_title(files: Sequence[str]) -> str:
    """The title of a book: of one file its name in words."""
    if len(files) > 1:
        return "Tunes"
    words = one_line(Path(files[0]).stem).replace("-", " ").replace("_", " ").strip()
    return words[:1].upper() + words[1:] or "Tunes"
