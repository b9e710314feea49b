"""Reads notes and their gracenotes into bars: plain ones fast, the others one by one."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction

from companion.score.abc.header.settings import Settings
from companion.score.abc.music.ornaments import PLAIN, Ornaments
from companion.score.abc.music.plain import NOT_GRACED, Graced, graced_by, plain_cache
from companion.score.abc.music.rhythm import WrittenRhythm
from companion.score.abc.music.spellings import (
    MOST_GRACENOTES,
    ParsedNote,
    Trouble,
    read_chord,
)
from companion.score.abc.music.tokens import JOINED, NOTE
from companion.score.abc.text.macros import Rewritten
from companion.score.form.bar_builder import BarBuilder
from companion.score.form.outside import Outside, OutsideNotes
from companion.score.form.problems import Problems
from companion.score.form.ticks import ticks_to_fraction
from companion.score.model import MelodyNote, melody_note_of
from companion.score.place import Place, place_of
from companion.score.problems import ProblemKind
from fingering.notes import Note

Word = re.Match[str]

Graces = tuple[tuple[Note, Fraction, Place], ...]
"""Gracenotes as they are read: each with its relative length and its place."""

CHECKED_EVERY = 64
"""After how many notes a bar is checked for its length again."""


class BarTooLong(Exception):
    """Raised where a bar takes no more notes: the line is passed over from `index` to the next bar line."""

    def __init__(self, index: int) -> None:
        super().__init__()
        self.index = index


class NoteReader:
    """Reads the notes of one tune into `bars`; those off the chanter are kept in `outside`.

    What is read is the line that was set last, as text of the file or as what macros made of it.
    """

    def __init__(self, settings: Settings, problems: Problems) -> None:
        self.bars = BarBuilder(settings, problems)
        self.outside = OutsideNotes()
        self._settings = settings
        self._problems = problems
        self._source = problems.source
        self._line = 0
        self._rewritten: Rewritten | None = None
        self._rhythm = WrittenRhythm(problems, self.bars.doubt)
        self._ornaments = Ornaments()
        self._gracenotes: Graces = ()  # of a group that stands apart from its note
        self._acciaccatura = False
        self._accidentals: dict[str, str] = {}
        self.settings_changed()

    def settings_changed(self) -> None:
        """A key or unit note length has changed: use the caches of the new one."""
        self._plain = plain_cache(self._settings.key, self._settings.unit)
        self._note_cache = self._plain.spelled
        self._grace_cache = self._plain.graces

    def _at(self, word: Word) -> Place:
        return self._place(word.start())

    def _place(self, index: int) -> Place:
        """The place in the file of a character of the line as it is read."""
        column = index + 1 if self._rewritten is None else self._rewritten.place_of(index)
        return place_of((self._source, self._line, column))

    def _say(self, kind: ProblemKind, word: Word, what: str, remedy: str) -> None:
        self._problems.add(kind, self._at(word), what, remedy)

    def _doubt(self, kind: ProblemKind, word: Word, what: str, remedy: str) -> None:
        """Report something that could not be read, and mark the bar, so that its length is not checked."""
        self._say(kind, word, what, remedy)
        self.bars.doubt()

    def _run(self, word: Word) -> None:
        """Read notes that follow each other without a blank."""
        self._notes(word.string, word.start(), word.end())

    def _closed(self, word: Word) -> None:
        """Read notes that follow each other, and the plain bar line after them."""
        line = word.start("closed")
        self._notes(word.string, word.start(), line)
        self._close_bar(line)

    def _notes(self, text: str, index: int, stop: int) -> None:
        """Read the run of notes from `index` to `stop`."""
        pieces = iter(JOINED.findall(text, index, stop))
        while index < stop:
            piece, index = self._read_plain(pieces, index)
            if piece.startswith("("):
                self._begin_tuplet(piece, index)
            after = index + len(piece)
            for note in NOTE.finditer(text, index, after):
                self._sound(note)
            index = after

    def _read_plain(self, pieces: Iterator[str], index: int) -> tuple[str, int]:
        """Read the plain ones of the pieces of a line from `index` on, which follow each other without a gap.

        Returns the first piece that is left to be read, "" after the last, and its index. That is one which is not
        plain, or before which the bar has to be checked again for its length.
        """
        if self._changes_notes():
            return next(pieces, ""), index
        source, line, plain, bars = self._source, self._line, self._plain, self.bars
        bar, rank = bars.open, bars.notes
        make = tuple.__new__  # in less time than by name: most of reading is making these
        limit = rank + CHECKED_EVERY
        if bar is not None:
            add, add_length = bar.notes.append, bar.lengths.append
            limit = rank + -len(bar.notes) % CHECKED_EVERY if bar.notes else limit
        for piece in pieces:
            notes = plain[piece]
            if notes is None or rank + len(notes) > limit:
                break
            if not notes:
                bars.close()
                bar, limit = None, rank + CHECKED_EVERY
            elif bar is None:
                bars.notes = rank
                bar = bars.begin(place_of((source, line, index + notes[0][0])))
                add, add_length = bar.notes.append, bar.lengths.append
            for column, ticks, note, length, graces, by, offsets in notes:
                place = make(Place, (source, line, index + column))
                add(make(MelodyNote, (rank, note, length, graces, place, "", (), (), False, by, offsets)))
                add_length(ticks)
                rank += 1
            index += len(piece)
        else:
            piece = ""
        bars.notes = rank
        return piece, index

    def _changes_notes(self) -> bool:
        """Whether something is in force, or waits for the next note, that changes how its spelling is read."""
        return bool(
            self._gracenotes
            or self._accidentals
            or self._rhythm.waiting
            or self._ornaments.waiting
            or self._acciaccatura
            or self._rewritten is not None
        )

    def _note(self, word: Word) -> None:
        """Read a note that a tie or broken rhythm follows."""
        note = NOTE.match(word.string, word.start())
        assert note is not None, word[0]
        self._sound(note)

    def _sound(self, word: Word) -> None:
        graces, text = word.groups()
        parsed = self._note_cache[text]
        place = self._place(word.start(2))
        if parsed.remarkable or self._accidentals:
            parsed = self._examine(parsed, text, place)
        self._add(parsed, self._graced(graces, parsed, word.start(), place), place, word.start())

    def _graced(self, text: str | None, parsed: ParsedNote, index: int, place: Place) -> Graced:
        """The gracenotes onto a note at `place`: those that wait for it, and the group that stands at `index`."""
        if not self._gracenotes:
            if not text:
                return NOT_GRACED
            graced = graced_by(self._grace_cache[text], parsed) if self._rewritten is None else None
            if graced is not None:
                return graced
        waiting = self._gracenotes + (self._read_graces(text, index) if text else ())
        self._gracenotes = ()
        if waiting and not parsed.letter:
            what = "gracenotes lead onto a rest, so they are left out"
            self._problems.add(ProblemKind.GRACENOTES_ONTO_REST, waiting[0][2], what, "write them before a note")
            return NOT_GRACED
        return _seen_from(place, waiting) if waiting else NOT_GRACED

    def _add(self, parsed: ParsedNote, graced: Graced, place: Place, index: int) -> None:
        bars = self.bars
        bar = bars.open or bars.begin(place)
        held = len(bar.notes)
        if held and not held % CHECKED_EVERY and bars.full(place):
            raise BarTooLong(index)
        ticks, length = parsed.ticks, parsed.length
        if self._rhythm.waiting:
            ticks = self._rhythm.fit(ticks, place)
            length = ticks_to_fraction(ticks)
        adornment = self._ornaments.adornment() if self._ornaments.waiting else PLAIN
        gracenotes, *more = graced
        note = (bars.notes, parsed.note, length, gracenotes, place, *adornment, self._acciaccatura, *more)
        bar.notes.append(melody_note_of(note))
        bar.lengths.append(ticks)
        bars.notes += 1
        self._acciaccatura = False
        if parsed.tied:
            bar.tied.append(held)
        if parsed.broken:
            self._rhythm.break_after(bar, parsed.broken, place)

    def _examine(self, parsed: ParsedNote, text: str, place: Place) -> ParsedNote:
        """Apply the accidentals of the bar to a note, and report what is wrong with it.

        An accidental holds in every octave to the end of the bar (ABC 2.1 section 11.3).
        """
        if parsed.sign:
            self._accidentals[parsed.letter] = parsed.sign
        elif parsed.letter in self._accidentals:
            parsed = self._note_cache[self._accidentals[parsed.letter] + text]
        if parsed.trouble:
            self._tell(parsed.trouble, place)
        return parsed

    def _tell(self, trouble: Trouble | Outside, place: Place) -> None:
        if isinstance(trouble, Outside):
            self.outside.add(trouble, place)
            return
        if trouble.unmeasured:
            self.bars.doubt()
        if not trouble.matter or self._problems.first_time(trouble.matter):
            self._problems.add(trouble.kind, place, trouble.what, trouble.remedy)

    def _chord(self, word: Word) -> None:
        self._say(ProblemKind.CHORD, word, "a chanter plays one note at a time", "write the melody note alone")
        parsed = read_chord(word["chord"], self._note_cache)
        if parsed.trouble:
            self._tell(parsed.trouble, self._at(word))
        place = self._at(word)
        self._add(parsed, self._graced(None, parsed, word.start(), place), place, word.start())

    def _graces(self, word: Word) -> None:
        self._gracenotes += self._read_graces(word["graces"], word.start())

    def _read_graces(self, text: str, index: int) -> Graces:
        group = self._grace_cache[text]
        if group.remarkable:
            self._acciaccatura = group.acciaccatura
            for at, trouble in group.troubles:
                self._tell(trouble, self._place(index + at))
        if len(group.notes) + len(self._gracenotes) > MOST_GRACENOTES:
            what = f"more than {MOST_GRACENOTES} gracenotes lead onto one note, so they are left out"
            remedy = "write those that belong to it"
            self._problems.add(ProblemKind.GRACENOTES_BEYOND_MEASURE, self._place(index), what, remedy)
            return ()
        places = (self._place(index + at) for at in group.positions)
        return tuple(zip(group.notes, group.lengths, places, strict=True))

    def _begin_tuplet(self, text: str, index: int) -> None:
        self._rhythm.begin_tuplet(text, self._place(index), self._settings.meter)

    def _close_bar(self, index: int) -> None:
        """A plain bar line at `index`."""
        self._leave_bar(index)
        self.bars.close()

    def _leave_bar(self, index: int) -> None:
        """What holds within a bar only is over."""
        if self._rhythm.waiting:
            self._rhythm.bar_line(self._place(index))
        if self._accidentals:
            self._accidentals.clear()


def _seen_from(place: Place, gracenotes: Graces) -> Graced:
    """The gracenotes onto a note at `place`: their notes, lengths and offsets, as `MelodyNote` has them."""
    notes, lengths, places = zip(*gracenotes, strict=True)
    return notes, lengths, tuple((place.line - each.line, place.column - each.column) for each in places)
