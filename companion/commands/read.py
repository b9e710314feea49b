"""`eightholes read FILE`: prints what a file of tunes holds, for people or as JSON."""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from typing import Any

from companion.commands.shared.library import open_book, print_problems
from companion.commands.shared.numbers import whole
from companion.commands.shared.options import add_transpose_option
from companion.score.checks import check
from companion.score.choose import choose_tune
from companion.score.model import Bar, MelodyNote, Part, Tempo, Tune
from companion.score.problems import Problem, Severity
from fingering.embellishments import recognise
from fingering.notes import Note


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the command's options."""
    parser.add_argument("file", help="a file of tunes, or a tune of ours")
    parser.add_argument("--json", action="store_true", help="print JSON: a list with one object a tune")
    parser.add_argument("--tune", type=whole, metavar="N", help="only the tune with X:N, or the Nth")
    add_transpose_option(parser)


def run(options: argparse.Namespace) -> int:
    """Print the tunes on standard output and problems on standard error; returns 2 where any problem is an error."""
    book = open_book(options.file, options.transpose)
    around, told = book.around, tuple(book.with_problems())
    if options.tune is not None:
        tune = choose_tune(book, options.tune)
        around, told = (), ((tune, book.problems_of(tune)),)
    if options.json:
        _print_json([tune for tune, _ in told])
    else:
        for rank, (tune, _) in enumerate(told):
            print("\n".join((*([""] if rank else []), *listing(tune))))
    return report(around, told)


def _print_json(tunes: Sequence[Tune]) -> None:
    """Print a JSON list with one object a tune, tune by tune: the text is far larger than the book."""
    opening = "["
    for tune in tunes:
        text = json.dumps(tune_json(tune), ensure_ascii=False, indent=1)
        print(f"{opening}\n {text.replace(chr(10), chr(10) + ' ')}", end="")
        opening = ","
    print("[]" if opening == "[" else "\n]")


def report(around: Sequence[Problem], told: Iterable[tuple[Tune, Sequence[Problem]]]) -> int:
    """Print the problems around the tunes and those of each tune on standard error; returns the exit status.

    Those of a file header, which every tune meets, are printed once.
    """
    worst = [_worst(around)]
    print_problems(around, prefix="")
    said = set(around)
    for tune, problems in told:
        new = [problem for problem in problems if problem not in said]
        said.update(new)
        worst.append(_worst(new))
        print_problems((*new, *piping_problems(problems, tune)), prefix="")
    return 2 if Severity.ERROR in worst else 0


def _worst(problems: Sequence[Problem]) -> Severity:
    errors = any(problem.kind.severity is Severity.ERROR for problem in problems)
    return Severity.ERROR if errors else Severity.WARNING


def piping_problems(read: Sequence[Problem], tune: Tune) -> tuple[Problem, ...]:
    """Warnings about what cannot be played or heard as written; none for a tune in which the reader found an error.

    Such a tune has lost notes, so that what is said of their neighbours would mislead.
    """
    return () if _worst(read) is Severity.ERROR else check(tune)


def tune_json(tune: Tune) -> dict[str, Any]:
    """One tune as JSON: bars in written order, and the numbers of the bars in playing order."""
    names = iter(embellishment_names(tune.notes))
    return {
        "title": tune.title,
        "meter": tune.meter.text,
        "played": [tune.bars[i].number for i in tune.order],
        "bars": [
            {"number": bar.number, "notes": [_note(note, next(names)) for note in bar.notes]} for bar in tune.bars
        ],
        "reference": tune.reference,
        "rhythm": tune.rhythm,
        "composer": tune.composer,
        "key": tune.key,
        "tempo": _tempo(tune.tempo),
        "parts": [_part(part, tune.bars) for part in tune.parts],
    }


def embellishment_names(notes: Sequence[MelodyNote]) -> Iterator[str | None]:
    """The name of the embellishment onto each note as written, by the note before it; None where there is none."""
    pitches = [note.note for note in notes]
    for before, note in zip([None, *pitches], notes, strict=False):
        if note.note is None or not note.gracenotes:
            yield None
        else:
            yield recognise(note.gracenotes, onto=note.note, before=before).name


def _note(note: MelodyNote, embellishment: str | None) -> dict[str, Any]:
    return {
        "pitch": _pitch(note.note),
        "duration": _fraction(note.duration),
        "gracenotes": [grace.letter for grace in note.gracenotes],
        "embellishment": embellishment,
    }


def _pitch(note: Note | None) -> str:
    return "z" if note is None else note.letter


def _fraction(length: Fraction) -> str:
    return "{}/{}".format(*length.as_integer_ratio())


def _tempo(tempo: Tempo | None) -> dict[str, Any] | None:
    if tempo is None:
        return None
    return {"beat": _fraction(tempo.beat), "beats_per_minute": tempo.beats_per_minute, "text": tempo.text}


def _part(part: Part, bars: Sequence[Bar]) -> dict[str, Any]:
    phrases = [
        {"letter": phrase.letter, "bars": [bar.number for bar in bars[phrase.first : phrase.stop]]}
        for phrase in part.phrases
    ]
    return {"label": part.label, "phrases": phrases}


def listing(tune: Tune) -> Iterator[str]:
    """One tune as lines of text: its parts, their phrases by letter, each with its bars."""
    yield " ".join(filter(None, (f"{tune.reference}." if tune.reference else "", tune.title or "(no title)")))
    facts = (tune.rhythm, f"M:{tune.meter.text}", f"K:{tune.key}", _tempo_words(tune.tempo))
    yield "  " + ", ".join(filter(None, facts))
    yield f"  {len(tune.bars)} bars written, {len(tune.order)} played"
    names = iter(embellishment_names(tune.notes))
    for part in tune.parts:
        yield f"  Part {part.label}: phrases {' '.join(phrase.letter for phrase in part.phrases)}"
        for phrase in part.phrases:
            for i in range(phrase.first, phrase.stop):
                mark = phrase.letter if i == phrase.first else ""
                yield f"    {mark:2} {tune.bars[i].number:>3}  {_bar_words(tune.bars[i], names)}"


def _tempo_words(tempo: Tempo | None) -> str:
    return f"{_fraction(tempo.beat)} = {tempo.beats_per_minute:g}" if tempo else ""


def _bar_words(bar: Bar, names: Iterator[str | None]) -> str:
    return "  ".join([_note_words(note, name) for note, name in zip(bar.notes, names, strict=False)])


def _note_words(note: MelodyNote, embellishment: str | None) -> str:
    numerator, denominator = note.duration.as_integer_ratio()
    more = f" ({embellishment})" if embellishment else ""
    return f"{_pitch(note.note)} {numerator}/{denominator}{more}"
