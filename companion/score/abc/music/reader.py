"""Reads lines of music: words become notes, and notes fill bars."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from companion.files.lines import quoted
from companion.score.abc.header.settings import Settings
from companion.score.abc.music.barlines import read_bar_line
from companion.score.abc.music.notes import BarTooLong, NoteReader, Word
from companion.score.abc.music.tokens import CHUNK, TOKEN
from companion.score.abc.text.macros import Rewritten
from companion.score.form.bar_builder import TuneTooLong
from companion.score.form.jumps import JUMPS
from companion.score.form.passes import is_worded_ending
from companion.score.form.problems import Problems
from companion.score.place import Place
from companion.score.problems import ProblemKind

MOST_WORDS = 100_000
"""Words of a tune's lines that are read, be they notes, bar lines or noise: ten times a bar has, in the longest."""


class MusicReader(NoteReader):
    """Reads the music of one tune, line by line, into `bars`. Inline fields are handed to `change`."""

    def __init__(self, settings: Settings, problems: Problems, change: Callable[[str, str, Place], None]) -> None:
        super().__init__(settings, problems)
        self.words = 0
        self._change = change

    def read_line(self, line: int, text: str) -> None:
        """Read one line of music; columns count from its start."""
        self._line = line
        self._rewritten = None
        self._read(text)

    def read_rewritten(self, line: int, rewritten: Rewritten) -> None:
        """Read one line in which macros or entities were replaced; places still point into the file."""
        self._line = line
        self._rewritten = rewritten
        self._read(rewritten.text)

    def _read(self, text: str) -> None:
        start = 0
        while start >= 0:
            try:
                self._read_words(text, start)
            except BarTooLong as passed:
                start = text.find("|", passed.index)
            else:
                return

    def _read_words(self, text: str, start: int) -> None:
        """Read the line from index `start` on. Raises BarTooLong where the rest of a bar is to be passed over."""
        chunks = iter(CHUNK.findall(text, start))
        bars, index = self.bars, start
        while index < len(text):
            lines = bars.lines
            chunk, index = self._read_plain(chunks, index)
            self._count(bars.lines - lines)
            if chunk:
                index = self._read_signs(text, index, index + len(chunk), chunks)

    def _count(self, words: int) -> None:
        """Count words of the tune. Plain notes, of which it may have so many, are none. Raises TuneTooLong."""
        self.words += words
        if self.words > MOST_WORDS:
            raise TuneTooLong

    def _read_signs(self, text: str, index: int, stop: int, following: Iterator[str]) -> int:
        """Read a chunk word by word, with all of the chunks `following` that its last word reaches into.

        index, stop: where it begins and ends in `text`. Returns where the next chunk begins.
        """
        while index < stop:
            word = TOKEN.match(text, index)
            assert word is not None, text
            _HANDLERS[word.lastgroup](self, word)
            self._count(1)
            index = word.end()
            while index > stop:
                stop += len(next(following))
        return stop

    def finish(self, place: Place) -> None:
        """End the tune: report what still waits for a note."""
        self._rhythm.finish(place)
        if self._gracenotes:
            what = "no note follows these gracenotes, so they are left out"
            remedy = "write the note that they lead onto"
            self._problems.add(ProblemKind.GRACENOTES_WITHOUT_NOTE, self._gracenotes[0][2], what, remedy)
        # Or this reader and who obeys fields would hold each other and all that they read, which the collector, paused
        # while a file is read, does not come round to: a folder of books would fill the memory.
        self._change = lambda key, text, place: None

    # Bars

    def _bar(self, word: Word) -> None:
        self._leave_bar(word.start())
        if word["bar"] == "|":
            self.bars.close()
        elif not self.bars.bar_line(read_bar_line(word["bar"]), self._at(word)):
            what = f"{quoted(word['bar'])} closes what was not opened"
            self._say(ProblemKind.STRAY_SIGN, word, what, "take it out")

    def _ending(self, word: Word) -> None:
        self._accidentals.clear()
        self.bars.ending(word["ending"][1:].strip().strip('"'), self._at(word))

    def _digits(self, word: Word) -> None:
        if self.bars.open is not None or not self.bars.bars:
            what = f"the number {word['digits']} has no note before it"
            self._say(ProblemKind.STRAY_NUMBER, word, what, "take it out or write a note")
            return
        what = f"an ending is numbered with a blank after the bar line: '| {word['digits']}'"
        self._say(ProblemKind.ENDING_SPACED, word, what, f"write '|{word['digits']}' or '[{word['digits']}'")
        self.bars.ending(word["digits"], self._at(word))

    def _multirest(self, word: Word) -> None:
        self.bars.rest_bars(int(word["multirest"][1:] or 1), self._at(word))

    def _field(self, word: Word) -> None:
        text = word["field"]
        self._change(text[1], text[3:-1], self._at(word))

    # Rhythm

    def _tuplet(self, word: Word) -> None:
        self._begin_tuplet(word["tuplet"], word.start())

    def _broken(self, word: Word) -> None:
        self._rhythm.break_after(self.bars.open, word["broken"], self._at(word))

    def _tie(self, word: Word) -> None:
        if not self.bars.bars:
            self._say(ProblemKind.TIE_ALONE, word, "no note stands before this tie", "take the '-' out")
            return
        self._say(ProblemKind.TIE_DETACHED, word, "a tie must touch its first note", "write c-c, not c -c")
        before = self.bars.bars[-1]
        before.tied.append(len(before.notes) - 1)

    # Decorations and other marks

    def _quoted(self, word: Word) -> None:
        text = word["quoted"][1:-1]
        if not text:
            return
        if self.bars.open is None and not self.bars.ending_begins and is_worded_ending(text):
            what = f"an ending is written in words, {quoted(text)}, and is followed"
            self._say(ProblemKind.ENDING_IN_WORDS, word, what, "write [1 and [2")
            self.bars.ending(text, self._at(word))
        self._ornaments.quote(text)

    def _decoration(self, word: Word) -> None:
        text = word["decoration"]
        if text[0] == "+":
            what = f"{quoted(text)} is an old form"
            self._say(ProblemKind.OLD_DECORATION, word, what, "write it between two !")
        self._decorate(text[1:-1], word)

    def _decorate(self, name: str, word: Word) -> None:
        if name in JUMPS:
            self.bars.jump(name, self._at(word))
        elif self._ornaments.decorate(name):
            self.bars.end_phrase()

    def _symbol(self, word: Word) -> None:
        symbol = word["symbol"][0]
        name = self._settings.symbols.get(symbol)
        if name is None:
            before_note = word.string[word.start() + 1 : word.start() + 2].isalpha()
            kind = ProblemKind.UNKNOWN_SYMBOL if before_note else ProblemKind.LETTER_NO_NOTE
            if not before_note or self._problems.first_time(f"symbol {symbol}"):
                what = f"'{symbol}' is neither a note nor a symbol"
                self._say(kind, word, what, "take it out, or define it with U:")
        elif name:
            self._decorate(name, word)

    def _linebreak(self, word: Word) -> None:
        if word["linebreak"] == "!" and not self._settings.bang_ends_lines and self._problems.first_time("!"):
            what = "'!' alone ended lines in older versions of ABC and is passed over"
            self._say(ProblemKind.BANG_LINE_END, word, what, "take it out, or write I:linebreak ! into the header")

    def _slur(self, word: Word) -> None:
        """Pass over a slur: it neither parts nor joins notes."""

    def _spacer(self, word: Word) -> None:
        """Pass over a sign that makes room on paper."""

    def _blank(self, word: Word) -> None:
        """Pass over blanks at the beginning of a line."""

    def _reserved(self, word: Word) -> None:
        """Pass over characters kept for later versions, as section 8.1 asks."""

    # What cannot be read

    def _openfield(self, word: Word) -> None:
        what = f"the field {quoted(word['openfield'].strip())} is not closed, so what follows it in its bar is lost"
        self._doubt(ProblemKind.FIELD_NOT_CLOSED, word, what, "write ']' after it")

    def _unclosed(self, word: Word) -> None:
        if word["unclosed"] == "{":
            what, remedy = "a brace of gracenotes is not closed", "write '}' after the last gracenote"
            self._doubt(ProblemKind.BRACE_NOT_CLOSED, word, what, remedy)
        else:
            what = "a quotation mark is not closed"
            self._doubt(ProblemKind.QUOTATION_NOT_CLOSED, word, what, "write the second one")

    def _stray(self, word: Word) -> None:
        text = word["stray"]
        if text == "}":
            what = "'}' closes what was not opened"
            self._doubt(ProblemKind.BRACE_NOT_OPENED, word, what, "take it out or write its partner")
        elif not self._goes_with_bar_line(word) and self._problems.first_time(f"sign {text}"):
            what = f"{quoted(text)} has no meaning in music"
            self._say(ProblemKind.STRAY_SIGN, word, what, "take it out, or write % before a remark")

    def _goes_with_bar_line(self, word: Word) -> bool:
        """Whether this is the bracket of `|[`, one of many ways to write a thick bar line."""
        if word["stray"] != "[":
            return False
        before = word.string[max(0, word.start() - 2) : word.start()].rstrip()
        return before.endswith(("|", ":", "]"))


# What is done about each sort of word; looked up by the name of its group in TOKEN.
_HANDLERS: dict[str | None, Callable[[MusicReader, Word], None]] = {
    name: getattr(MusicReader, f"_{name}") for name in TOKEN.groupindex
}
