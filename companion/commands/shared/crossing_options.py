"""The options that name one crossing: two notes, and a finger that is held back."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from typing import TYPE_CHECKING

from fingering.errors import UserError
from fingering.holes import Finger
from fingering.notes import Note

if TYPE_CHECKING:  # crossings are loaded where one is asked for
    from companion.schedule.crossing import NamedTransition


def add_crossing_options(parser: argparse.ArgumentParser) -> None:
    """Add --crossing FROM TO and --late FINGER=MS."""
    group = parser.add_argument_group("one crossing, instead of a tune")
    group.add_argument(
        "--crossing", metavar=("FROM", "TO"), nargs=2, help="its two notes, as ABC letters or names ('low A')"
    )
    group.add_argument(
        "--late", metavar="FINGER=MS", action="append", default=[], help="the finger held back, like 'upper ring=40'"
    )


def named_from(options: argparse.Namespace) -> NamedTransition:
    """The crossing that --crossing names. Raises UserError."""
    from companion.schedule.crossing import NamedTransition

    return NamedTransition.between(*map(note_named, options.crossing))


def delay_from(options: argparse.Namespace) -> tuple[Finger, float] | None:
    """The finger that --late names and its ms, None for none. Raises UserError for several, or one that stays."""
    late = read_late(options.late)
    if len(late) > 1:
        raise UserError("a picture has one finger late", "give --late once; cross takes more")
    named_from(options).transition.moved(late)
    return next(iter(late.items()), None)


def note_named(word: str) -> Note:
    """The note of an ABC letter, or of a name that pipers say ("low A", "high-g", "F"). Raises UserError."""
    name = " ".join(word.replace("-", " ").replace("_", " ").split())
    for note in Note:
        if name.lower() == note.label.lower() and (len(name) > 1 or name.isupper()):
            return note
    return Note.from_letter(word)


def read_late(words: Sequence[str]) -> dict[Finger, float]:
    """Fingers and how late each is, in ms, from texts like "upper ring=40". Raises UserError."""
    late: dict[Finger, float] = {}
    for word in words:
        label, equals, text = word.partition("=")
        if not equals:
            raise UserError(f"'{word}' is no FINGER=MS", "write it like 'upper ring=40'")
        finger = Finger.from_label(label)
        if finger in late:
            raise UserError(f"the {finger.label} is late twice", "give each finger one time")
        late[finger] = _read_ms(text, word)
    return late


def _read_ms(text: str, word: str) -> float:
    from fingering.crossings.timing import LATEST_MS

    try:
        late_ms = float(text)
    except ValueError:
        raise UserError(f"'{text}' in '{word}' is no number of ms", "write it like 'upper ring=40'") from None
    if not 0.0 <= late_ms <= LATEST_MS:
        raise UserError(f"'{word}' is out of reach", f"choose 0 to {LATEST_MS:g} ms")
    return late_ms
