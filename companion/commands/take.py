"""`eightholes take`: lists the takes that were kept."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from companion.files.folders import takes_folder
from companion.files.lines import one_line
from companion.hearing.takes.recordings import RecordingFile, recordings_in
from companion.midi.takes.reading import Listing, Summary, list_takes

_MILLISECONDS = 1000


def configure(parser: argparse.ArgumentParser) -> None:
    """Add `list` and its options."""
    actions = parser.add_subparsers(dest="action", required=True, metavar="ACTION")
    listing = actions.add_parser(
        "list", help="list takes and recordings, oldest first", description="list takes and recordings, oldest first"
    )
    listing.add_argument("--folder", type=Path, help="another folder than that of the program's own takes")
    listing.add_argument("--json", action="store_true", help="as JSON, for other programs")


def run(options: argparse.Namespace) -> int:
    """Print the list. Raises UserError if the folder cannot be read."""
    folder = options.folder or takes_folder()
    listing, recordings = list_takes(folder), recordings_in(folder)
    if options.json:
        rows = [*map(_as_data, listing.takes), *map(_recording_as_data, reversed(recordings))]
        print(json.dumps(rows, indent=1))
    else:
        _print_lines(listing, recordings, folder)
    for problem in listing.problems:
        print(f"eightholes: {one_line(str(problem))}", file=sys.stderr)
    return 0


def _print_lines(listing: Listing, recordings: Sequence[RecordingFile], folder: Path) -> None:
    print(one_line(str(folder)))
    for take in listing.takes:
        heading = take.heading
        slow_down = heading.timing.slow_down if heading.timing else 1.0
        pace = f", {slow_down:g} times slower" if slow_down > 1.0 else ""
        began = f"{heading.began.astimezone():%Y-%m-%d %H:%M}"
        sound = ", with sound" if take.sound else ""
        what = f"{heading.shown_title}{pace}, {take.end_s:.0f} s on {heading.shown_source}{sound}"
        print(f"  {began}  {what}  ({one_line(take.path.name)})")
    for each in reversed(recordings):
        print(f"  {each.began.astimezone():%Y-%m-%d %H:%M}  a recording  ({one_line(each.path.name)})")
    if not listing.takes and not recordings:
        print("  no takes yet")


def _as_data(take: Summary) -> dict[str, Any]:
    heading = take.heading
    return {
        "file": str(take.path),
        "began": heading.began.isoformat(),
        "title": heading.tune.title if heading.tune else None,
        "tune_file": heading.tune.file if heading.tune else None,
        "slow_down": heading.timing.slow_down if heading.timing else None,
        "source": heading.source,
        "end_ms": round(take.end_s * _MILLISECONDS),
        "messages": take.messages,
        "sound": str(take.sound) if take.sound else None,
    }


def _recording_as_data(recording: RecordingFile) -> dict[str, Any]:
    """A recording from elsewhere: of which tune it is, only whoever plays it back can say."""
    return {
        "file": str(recording.path),
        "began": recording.began.isoformat(),
        "title": None,
        "tune_file": None,
        "slow_down": None,
        "source": None,
        "end_ms": None,
        "messages": 0,
        "sound": str(recording.path),
    }
