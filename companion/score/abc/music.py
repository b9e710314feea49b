"""Reads lines of music: words become notes, and notes fill bars."""

from __future__ import annotations

import re
from collections.abc import Callable

from companion.files.lines import quoted
from companion.score.abc.barlines import BarBuilder
from companion.score.abc.glyphs import Glyph, GlyphBooks, Trouble, read_chord
from companion.score.abc.ornaments import Ornaments
from companion.score.abc.problems import Problems
from companion.score.abc.rhythm import Rhythm
from companion.score.abc.settings import Settings
from companion.score.abc.tokens import NOTE_GRACES, NOTE_REST, TOKEN
from companion.score.abc.written import WrittenNote
from companion.score.model import Gracenote, gracenote_of
from companion.score.place import Place, place_of

Word = re.Match[str]


class MusicReader:
    """Reads the music of one tune, line by line, into `bars`. Inline fields are handed to `change`."""

    def __init__(
        self, settings: Settings, books: GlyphBooks, problems: Problems, change: Callable[[str, str, Place], None]
    ) -> None:
        self.bars = BarBuilder(settings, problems)
        self._settings = settings
        self._books = books
        self._problems = problems
        self._source = problems.source
        self._change = change
        self._line = 0
        self._rhythm = Rhythm(problems, self.bars.doubt)
        self._ornaments = Ornaments(problems)
        self._gracenotes: tuple[Gracenote, ...] = ()  # of a group that stands apart from its note
        self._acciaccatura = False
        self._accidentals: dict[str, str] = {}
        self._last: WrittenNote | None = None
        self._handlers: dict[str | None, Callable[[Word], None]] = {
            name: getattr(self, f"_{name}") for name in TOKEN.groupindex
        }
        self.settings_changed()

    def settings_changed(self) -> None:
        """A key or unit is new: the remembered spellings of the old ones no longer hold."""
        self._glyphs = self._books.notes(self._settings.key, self._settings.unit)
        self._groups = self._books.graces(self._settings.key)

    def read_line(self, line: int, text: str) -> None:
        """Read one line of music; columns count from its start."""
        self._line = line
        handlers = self._handlers
        for word in TOKEN.finditer(text):
            handlers[word.lastgroup](word)

    def finish(self, place: Place) -> None:
        """The tune is over: whatever still waits for a note waits in vain."""
        self._rhythm.finish(place)
        if self._gracenotes:
            what = "no note follows these gracenotes"
            self._problems.error(self._gracenotes[0].place, what, "write the note that they lead onto")

    def _at(self, word: Word) -> Place:
        return Place(self._source, self._line, word.start() + 1)

    def _error(self, word: Word, what: str, remedy: str) -> None:
        """Something could not be read, so the length of the bar that it stands in says nothing."""
        self._problems.error(self._at(word), what, remedy)
        self.bars.doubt()

    # Notes and their gracenotes

    def _note(self, word: Word) -> None:
        graces, text = word.group(NOTE_GRACES, NOTE_REST)
        glyph = self._glyphs[text]
        place = place_of((self._source, self._line, word.start(NOTE_REST) + 1))
        if glyph.remarkable or self._accidentals:
            glyph = self._examine(glyph, text, place)
        gracenotes = self._gracenotes
        if graces:
            gracenotes += self._read_graces(graces, word.start() + 1)
        self._add(glyph, gracenotes, place)

    def _add(self, glyph: Glyph, gracenotes: tuple[Gracenote, ...], place: Place) -> None:
        if gracenotes and not glyph.letter:
            gracenotes = self._without_note(gracenotes)
        note = WrittenNote(glyph.note, glyph.ticks, gracenotes, place, glyph.tied, self._acciaccatura)
        self._gracenotes, self._acciaccatura = (), False
        if self._rhythm.waiting:
            self._rhythm.fit(note)
        if self._ornaments.waiting:
            self._ornaments.adorn(note)
        (self.bars.open or self.bars.begin(place)).notes.append(note)
        self._last = note
        if glyph.broken:
            self._rhythm.break_after(note, glyph.broken, place)

    def _examine(self, glyph: Glyph, text: str, place: Place) -> Glyph:
        """Bar accidentals hold in every octave to the end of the bar (ABC 2.1 section 11.3); then say what is wrong."""
        if glyph.sign:
            self._accidentals[glyph.letter] = glyph.sign
        elif glyph.letter in self._accidentals:
            glyph = self._glyphs[self._accidentals[glyph.letter] + text]
        if glyph.trouble:
            self._say(glyph.trouble, place)
            if glyph.trouble.unmeasured:
                self.bars.doubt()
        return glyph

    def _say(self, trouble: Trouble, place: Place) -> None:
        if not trouble.matter:
            self._problems.error(place, trouble.what, trouble.remedy)
        elif self._problems.first_time(trouble.matter):
            self._problems.warn(place, trouble.what, trouble.remedy)

    def _chord(self, word: Word) -> None:
        place = self._at(word)
        self._problems.warn(place, "a chanter plays one note at a time", "write the melody note alone")
        glyph = read_chord(word["chord"], self._glyphs)
        if glyph.trouble:
            self._say(glyph.trouble, place)
        self._add(glyph, self._gracenotes, place)

    def _graces(self, word: Word) -> None:
        self._gracenotes += self._read_graces(word["graces"], word.start() + 1)

    def _read_graces(self, text: str, column: int) -> tuple[Gracenote, ...]:
        group = self._groups[text]
        source, line = self._source, self._line
        if group.remarkable:
            self._acciaccatura = group.acciaccatura
            for at, trouble in group.troubles:
                self._say(trouble, Place(source, line, column + at))
        return tuple([gracenote_of((note, place_of((source, line, column + at)), by)) for note, at, by in group.notes])

    def _without_note(self, gracenotes: tuple[Gracenote, ...]) -> tuple[Gracenote, ...]:
        what = "gracenotes lead onto a rest, so they are left out"
        self._problems.warn(gracenotes[0].place, what, "write them before a note")
        return ()

    # Bars

    def _bar(self, word: Word) -> None:
        if self._rhythm.waiting:
            self._rhythm.bar_line(self._at(word))
        if self._accidentals:
            self._accidentals.clear()
        if word["bar"] == "|":
            self.bars.open = None
        else:
            self.bars.bar_line(word["bar"], self._at(word))

    def _ending(self, word: Word) -> None:
        self._accidentals.clear()
        self.bars.ending(word["ending"][1:], self._at(word))

    def _digits(self, word: Word) -> None:
        if self.bars.open is not None or not self.bars.bars:
            self._error(word, f"the number {word['digits']} has no note before it", "take it out or write a note")
            return
        what = f"an ending is numbered with a blank after the bar line: '| {word['digits']}'"
        self._problems.deviation(self._at(word), what, f"write '|{word['digits']}' or '[{word['digits']}'")
        self.bars.ending(word["digits"][:4], self._at(word))

    def _multirest(self, word: Word) -> None:
        self.bars.rest_bars(int(word["multirest"][1:] or 1), self._at(word))

    def _field(self, word: Word) -> None:
        text = word["field"]
        self._change(text[1], text[3:-1], self._at(word))

    # Rhythm

    def _tuplet(self, word: Word) -> None:
        self._rhythm.begin_tuplet(word["tuplet"], self._at(word), self._settings.meter)

    def _broken(self, word: Word) -> None:
        note = self._last if self.bars.open is not None else None
        self._rhythm.break_after(note, word["broken"], self._at(word))

    def _tie(self, word: Word) -> None:
        if self._last is None:
            self._problems.error(self._at(word), "no note stands before this tie", "take the '-' out")
            return
        self._problems.deviation(self._at(word), "a tie must touch its first note", "write c-c, not c -c")
        self._last.tied = True

    # Decorations and other marks

    def _quoted(self, word: Word) -> None:
        self._ornaments.quote(word["quoted"][1:-1])

    def _decoration(self, word: Word) -> None:
        text = word["decoration"]
        if text[0] == "+":
            self._problems.deviation(self._at(word), f"{quoted(text)} is an old form", "write it between two !")
        if self._ornaments.decorate(text[1:-1], self._at(word)):
            self.bars.end_phrase()

    def _symbol(self, word: Word) -> None:
        symbol = word["symbol"][0]
        name = self._settings.symbols.get(symbol)
        if name is None:
            self._error(word, f"'{symbol}' is neither a note nor a symbol", "take it out, or define it with U:")
        elif name and self._ornaments.decorate(name, self._at(word)):
            self.bars.end_phrase()

    def _linebreak(self, word: Word) -> None:
        if word["linebreak"] == "!":
            what = "'!' alone broke lines in older versions and means nothing now"
            self._problems.deviation(self._at(word), what, "take it out or write $")

    def _slur(self, word: Word) -> None:
        """A slur parts no notes and joins none: nothing to play."""

    def _spacer(self, word: Word) -> None:
        """Room on paper only."""

    def _blank(self, word: Word) -> None:
        """Blanks at the beginning of a line."""

    def _reserved(self, word: Word) -> None:
        """Characters kept for later versions; section 8.1 asks that they be passed over."""

    # What cannot be read

    def _unclosed(self, word: Word) -> None:
        if word["unclosed"] == "{":
            self._error(word, "a brace of gracenotes is not closed", "write '}' after the last gracenote")
        else:
            self._error(word, "a quotation mark is not closed", "write the second one")

    def _stray(self, word: Word) -> None:
        text = word["stray"]
        if text in "}]":
            self._error(word, f"'{text}' closes what was not opened", "take it out or write its partner")
        else:
            self._error(word, f"{quoted(text)} has no meaning in music", "take it out, or write % before a remark")
