"""Reads one tune: its header, then the fields and music of its body."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import chain
from operator import itemgetter

from companion.files.lines import quoted
from companion.score.abc.header.fields import BODY_FIELDS, KNOWN_FIELDS
from companion.score.abc.header.reader import FileHeader, read_header, report_unknown, split_header
from companion.score.abc.header.settings import SETTING_FIELDS, Settings
from companion.score.abc.header.transposing import Transposition
from companion.score.abc.music.cutting import cut_into_bars
from companion.score.abc.music.reader import MOST_WORDS, MusicReader
from companion.score.abc.text.lines import TextLine
from companion.score.abc.text.macros import Rewritten, TooLong, expand, without_entities
from companion.score.abc.text.prepare import first_voice, plain_signs, without_overlays, without_unclosed_quotation
from companion.score.abc.text.strings import plain_text
from companion.score.abc.text.words import looks_like_words
from companion.score.form.assemble import assemble
from companion.score.form.bar_builder import MOST_BARS, MOST_NOTES, TuneTooLong
from companion.score.form.problems import Problems
from companion.score.model import Bar, Field, MelodyNote, Tune
from companion.score.place import Place
from companion.score.problems import Problem, ProblemKind

_NOTES = itemgetter(Bar._fields.index("notes"))
_GRACENOTES = itemgetter(MelodyNote._fields.index("gracenotes"))


@dataclass(frozen=True, slots=True)
class ReadTune:
    """A tune, or None where it holds nothing to play, and all that is wrong with it.

    cost: how many words, notes and gracenotes were read.
    """

    tune: Tune | None
    problems: tuple[Problem, ...]
    cost: int


def read_tune(lines: Sequence[TextLine], file_header: FileHeader, source: str, transpose: int) -> ReadTune:
    """Read the lines of one tune, `transpose` semitones higher than it says.

    Where the file itself asks for a transposition that leads off the chanter, as files do that were made for another
    instrument to play, the tune is read without it if more of its notes fit then.
    """
    reader = TuneReader(lines, file_header, Problems(source), Transposition(transpose))
    read = reader.read()
    if not reader.outside or not reader.asked_to_transpose:
        return read
    second = TuneReader(lines, file_header, Problems(source), Transposition(transpose, followed=False))
    read_as_written = second.read(left_out=True)
    better = read_as_written if second.outside < reader.outside else read
    return replace(better, cost=read.cost + read_as_written.cost)


class TuneReader:
    """Reads the lines of one tune."""

    def __init__(
        self,
        lines: Sequence[TextLine],
        file_header: FileHeader,
        problems: Problems,
        transposition: Transposition,
    ) -> None:
        self._problems = problems
        self._wished = transposition.wished
        self._settings = Settings(problems, transposition)
        head, self._body = split_header(lines, problems)
        self._header = read_header(head, file_header, lines[0].number, self._settings, problems)
        self._opening = self._settings.opening()
        self.asked_to_transpose = self._settings.transposition.asked_by_file
        self._music = MusicReader(self._settings, problems, self._change)
        self._voice: str | None = None
        self._silent = False

    @property
    def outside(self) -> int:
        """How many notes of the tune the chanter does not have."""
        return self._music.outside.count

    def read(self, *, left_out: bool = False) -> ReadTune:
        """The tune and its problems. left_out: whether to report that the file's own transposition is not followed."""
        self._read_body()
        built = self._music.bars
        if left_out:
            what = "the transposition that the file asks for leads off the chanter, so it is not followed"
            self._add(ProblemKind.TRANSPOSITION_LEFT_OUT, self._header.place, what, "take it out of the file")
        if not built.bars:
            what = "the tune holds no music"
            self._add(ProblemKind.NO_MUSIC, self._header.place, what, "write its notes after the K: field")
            return ReadTune(None, self._problems.in_order(), self._music.words)
        fits = self._say_outside()
        bars = built.bars if built.lines or len(built.bars) > 1 else cut_into_bars(built.bars[0], self._problems)
        tune = assemble(self._header, self._opening, bars, built.jumps, self._problems, fits)
        return ReadTune(tune, self._problems.in_order(), self._music.words + _sounds(tune))

    def _say_outside(self) -> int | None:
        """Report which notes no chanter has; returns the transposition by which the whole tune fits, or None."""
        if not self.outside:
            return None
        written = [note for bar in self._music.bars.bars for note in bar.notes]
        within = {note.note.midi for note in written if note.note is not None}
        within |= {grace.midi for note in written for grace in note.gracenotes}
        shift = self._settings.transposition.shift
        return self._music.outside.say(self._problems, within, shift, self._wished)

    def _read_body(self) -> None:
        place = self._header.place
        try:
            for line in self._body:
                place = self._problems.place(line.number, len(line.text) + 1)
                if line.key:
                    self._field_line(line)
                else:
                    self._music_line(line)
        except TuneTooLong:
            longest = f"{MOST_BARS:,} bars, {MOST_NOTES:,} notes or {MOST_WORDS:,} signs"
            what = f"the tune is longer than {longest}, so its rest is left out"
            self._add(ProblemKind.TUNE_BEYOND_MEASURE, place, what, "make several tunes of it")
        self._music.finish(place)

    def _add(self, kind: ProblemKind, place: Place, what: str, remedy: str) -> None:
        self._problems.add(kind, place, what, remedy)

    def _music_line(self, line: TextLine) -> None:
        voice = first_voice(line.text)
        if voice:
            self._switch_voice(voice[1], self._problems.place(line.number, voice.start(1) + 1))
        if self._silent:
            return
        text = plain_signs(line.text)
        if not self._settings.macros and looks_like_words(text, self._settings.symbols):
            what = f"{quoted(text.strip())} looks like words, not music, so it is passed over"
            place = self._problems.place(line.number, 1)
            self._add(ProblemKind.WORDS_IN_MUSIC, place, what, "write % or N: before it")
            return
        if self._settings.macros or ("&" in text and ";" in text):
            self._rewritten_line(line, text)
            return
        if "&" in text or '"' in text:
            text = self._readable(line, _as_written(line, text))
        self._music.read_line(line.number, text)

    def _rewritten_line(self, line: TextLine, text: str) -> None:
        """A line with macros, or with the entities of a web page."""
        written = _as_written(line, text)
        try:
            rewritten = expand(without_entities(written), self._settings.macros)
        except TooLong:
            what = "the macros make this line too long, so they are not followed in it"
            self._add(ProblemKind.MACRO_TOO_LONG, self._problems.place(line.number, 1), what, "make them shorter")
            rewritten = written
        self._music.read_rewritten(line.number, replace(rewritten, text=self._readable(line, rewritten)))

    def _readable(self, line: TextLine, rewritten: Rewritten) -> str:
        """The line's text, with a blank for each sign that is not read as music."""
        if "&" in rewritten.text:
            rewritten = replace(rewritten, text=without_overlays(rewritten, line.number, self._problems))
        if rewritten.text.count('"') % 2:
            rewritten = replace(rewritten, text=without_unclosed_quotation(rewritten, line.number, self._problems))
            self._music.bars.doubt()
        return rewritten.text

    def _field_line(self, line: TextLine) -> None:
        place = self._problems.place(line.number, line.column)
        if line.key not in KNOWN_FIELDS:
            report_unknown(line, self._problems)
        elif line.key not in BODY_FIELDS:
            what = f"the field {line.key}: belongs into the header"
            self._add(ProblemKind.FIELD_IN_BODY, place, what, "write it before the K: field")
            self._keep(line.key, line.text, place)
        else:
            self._change(line.key, line.text, place)

    def _change(self, key: str, text: str, place: Place) -> None:
        """Apply a field in the body, on a line of its own or within the music."""
        if key in SETTING_FIELDS:
            self._settings.apply(key, text, place)
            self._music.settings_changed()
        elif key == "P":
            self._music.bars.label(plain_text(text.strip()).rstrip("."))
        elif key == "V":
            self._switch_voice(text, place)
        elif key in KNOWN_FIELDS:
            self._keep(key, text, place)
        else:
            what = f"there is no field '{key}:', so it is passed over"
            self._add(ProblemKind.UNKNOWN_FIELD, place, what, "take it out, or write [r:...] for a remark")

    def _keep(self, key: str, text: str, place: Place) -> None:
        self._header.fields.append(Field(key, plain_text(text.strip()), place))

    def _switch_voice(self, text: str, place: Place) -> None:
        name = (text.split() or [""])[0]
        if self._voice is None:
            self._voice = name
            self._settings.voice(text)
            self._music.settings_changed()
        self._silent = name != self._voice
        if self._silent and self._problems.first_time("voices"):
            what = f"only the first voice is read, {quoted(name)} is left out"
            self._add(ProblemKind.OTHER_VOICE, place, what, "write it as a tune of its own")


def _as_written(line: TextLine, text: str) -> Rewritten:
    """A line in which nothing has been replaced yet."""
    return Rewritten(text, range(line.column, line.column + len(text)))


def _sounds(tune: Tune) -> int:
    """How many notes and gracenotes a tune has as written."""
    notes = list(chain.from_iterable(map(_NOTES, tune.bars)))
    return len(notes) + sum(map(len, map(_GRACENOTES, notes)))
