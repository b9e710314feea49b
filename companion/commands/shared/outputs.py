"""--force and the check of the output, for all commands that write a file."""

from __future__ import annotations

import argparse
from collections.abc import Iterable
from pathlib import Path

from companion.commands.shared.library import find_file
from companion.files.writing import check_output
from companion.score.bundled import bundled_files


def add_output_options(parser: argparse.ArgumentParser, words: str) -> None:
    """Add -o, which must be given, and --force. words: what is written, and what the file's ending says."""
    parser.add_argument("-o", "--output", metavar="FILE", type=Path, required=True, help=words)
    add_force_option(parser)


def add_force_option(parser: argparse.ArgumentParser) -> None:
    """Add --force, with the same words in every command that writes."""
    parser.add_argument(
        "--force", action="store_true", help="write over a file that is there already (never one that is read here)"
    )


def check_output_of(
    options: argparse.Namespace, output: Path, *, tune: str | None = None, others: Iterable[Path | str | None] = ()
) -> None:
    """Refuse, before any work, an output that cannot or must not be written. Raises UserError.

    tune: the TUNE argument, a file or the name of a bundled one. others: further files that are read.
    """
    inputs = [Path(each) for each in others if each]
    if tune:
        inputs.append(find_file(tune))
    check_output(output, force=options.force, inputs=inputs, ours=bundled_files())
