"""From the text of an MEI document to tunes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from companion.files.lines import quoted
from companion.score.abc.header.keys import PIPE_KEY, read_key
from companion.score.abc.header.transposing import Transposition
from companion.score.form.assemble import assemble
from companion.score.form.heading import OpeningSettings
from companion.score.form.problems import Problems
from companion.score.formats.kept_fields import take_field
from companion.score.formats.mei.headings import PieceHeading, heading_of
from companion.score.formats.mei.signatures import NO_SIGNATURE
from companion.score.formats.mei.staff_reader import PlaceOf, StaffReader
from companion.score.formats.mei.voices import ScoreVoice, voices_of
from companion.score.formats.xml.refusal import refused
from companion.score.formats.xml.tree import Element, read_tree
from companion.score.model import Tune, Tunebook
from companion.score.place import Place
from companion.score.problems import Problem, ProblemKind

MOST_PIECES = 500
"""Pieces (`mdiv`) of one document that are read."""


@dataclass(frozen=True, slots=True)
class KnownBeside:
    """What is known of a score beside its MEI.

    passes: how often repeats are played, by the ids of their measures. rests: how many measures of rest begin with one.
    heading: fields of the heading, by their names in `TuneHeading`. key: the name of the key, which goes before that of its
    signature where both have the same sharps; "" for none. fields: those of ABC that are kept by their names.
    """

    passes: Mapping[str, int] = field(default_factory=dict)
    rests: Mapping[str, int] = field(default_factory=dict)
    heading: Mapping[str, str] = field(default_factory=dict)
    key: str = ""
    fields: tuple[tuple[str, str], ...] = ()


NOTHING_BESIDE = KnownBeside()


def read_mei_text(text: str, source: str, transpose: int = 0) -> Tunebook:
    """The tunes of an MEI document given as text. Raises UserError where it is broken or holds no score."""
    return read_mei_tree(read_tree(text, source), source, transpose)


def read_mei_tree(
    root: Element, source: str, transpose: int, place_of: PlaceOf | None = None, beside: KnownBeside = NOTHING_BESIDE
) -> Tunebook:
    """The tunes of an MEI document, each piece (`mdiv`) one, `transpose` semitones higher than written.

    place_of: where an element stands in the file that the user gave; by default where it stands in the document.
    Raises UserError where it holds no score.
    """
    where = place_of or (lambda element: Place(source, element.line, element.column))
    pieces = [(piece, score) for piece in root.inside("mdiv") if (score := piece.first("score", "parts")) is not None]
    if not pieces:
        what = "this MEI document holds no score with notes"
        raise refused(source, ProblemKind.NO_SCORE, what, "save it as CMN, common Western notation")
    read = [
        _read_piece(heading_of(root, piece, rank, where(piece)), score, source, transpose, where, beside)
        for rank, (piece, score) in enumerate(pieces[:MOST_PIECES])
    ]
    kept = [(tune, told) for tune, told in read if tune is not None]
    around = tuple(problem for tune, told in read if tune is None for problem in told)
    return Tunebook(source, tuple(tune for tune, _ in kept), around, tuple(told for _, told in kept))


def _read_piece(
    piece: PieceHeading, score: Element, source: str, transpose: int, place_of: PlaceOf, beside: KnownBeside
) -> tuple[Tune | None, tuple[Problem, ...]]:
    holder = score.first("part") or score if score.tag == "parts" else score
    told, heading = beside.heading, piece.heading
    heading = replace(
        heading,
        reference=told.get("reference", heading.reference),
        title=told.get("title", heading.title),
        composer=told.get("composer", heading.composer),
        rhythm=told.get("rhythm", heading.rhythm),
        plan=told.get("plan", heading.plan),
    )
    for name, text in beside.fields:
        take_field(name, text, heading)
    voices = voices_of(holder, beside.passes, beside.rests)
    read, problems = _first_that_fits(voices, holder, source, transpose, place_of)
    if len(voices) > 1:
        _say_which(read, voices, heading.place, problems)
    if not heading.title:
        what, remedy = "the tune has no title", "give it one in the program that made it"
        problems.add(ProblemKind.NO_TITLE, heading.place, what, remedy)
    if not read.bars.bars:
        problems.add(ProblemKind.NO_MUSIC, heading.place, "the tune holds no music", "write its notes")
        return None, problems.in_order()
    fits = read.notes.outside.say(problems, read.sounding(), read.in_force.transposition.shift, transpose)
    opening = OpeningSettings(
        read.opening.meter, _key_name(read, beside.key or piece.key), read.opening.tempo, read.shortest
    )
    tune = assemble(heading, opening, read.bars.bars, read.bars.jumps, problems, fits)
    return tune, problems.in_order()


def _key_name(read: StaffReader, kept: str) -> str:
    """The name of the key: the one that is kept by name, where its sharps are those of the signature.

    Pipe music is written without a signature.
    """
    told, signature = read_key(kept) if kept else None, read.opening.key
    if told and dict(told.alterations) == dict(signature.alterations):
        return told.text
    return PIPE_KEY.text if signature.text == NO_SIGNATURE.text else signature.text


def _first_that_fits(
    voices: Sequence[ScoreVoice], score: Element, source: str, transpose: int, place_of: PlaceOf
) -> tuple[StaffReader, Problems]:
    """The first voice all of whose notes the chanter has; where none is, the one of which it has the largest share."""
    best: tuple[StaffReader, Problems] | None = None
    for voice in voices:
        reader, problems = _read_voice(voice, score, source, transpose, place_of)
        if reader.melody_notes() and not reader.notes.outside.count:
            return reader, problems
        if best is None or _share(reader) > _share(best[0]):
            best = reader, problems
    assert best is not None
    return best


def _share(reader: StaffReader) -> float:
    within = reader.melody_notes()
    return within / (within + reader.notes.outside.count) if within else 0.0


def _read_voice(
    voice: ScoreVoice, score: Element, source: str, transpose: int, place_of: PlaceOf
) -> tuple[StaffReader, Problems]:
    """Read one voice; where the file asks for a transposition that leads off the chanter, as it is written."""
    problems = Problems(source)
    reader = StaffReader(voice, problems, place_of, Transposition(transpose))
    reader.read(score)
    if not reader.notes.outside.count or not reader.opening.transposition.asked_by_file:
        return reader, problems
    problems_as_written = Problems(source)
    as_written = StaffReader(voice, problems_as_written, place_of, Transposition(transpose, followed=False))
    as_written.read(score)
    if as_written.notes.outside.count >= reader.notes.outside.count:
        return reader, problems
    what = "the transposition that the file asks for leads off the chanter, so it is not followed"
    problems_as_written.add(ProblemKind.TRANSPOSITION_LEFT_OUT, place_of(score), what, "take it out of the file")
    return as_written, problems_as_written


def _say_which(read: StaffReader, voices: Sequence[ScoreVoice], place: Place, problems: Problems) -> None:
    staves = len({voice.staff for voice in voices})
    layers = sum(voice.staff == read.voice.staff for voice in voices)
    name = f" ({quoted(read.in_force.label)})" if read.in_force.label else ""
    staff = f"staff {quoted(read.voice.staff)[1:-1]}{name}" if staves > 1 else "this staff"
    layer = f", voice {read.voice.layer + 1} of {layers}" if layers > 1 else ""
    what = f"of several voices one is read, {staff}{layer}"
    problems.add(ProblemKind.OTHER_VOICE, place, what, "save another as a score of its own, if it is the melody")
