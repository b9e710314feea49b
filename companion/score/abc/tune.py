"""Reads one tune: its header, then the fields and music of its body."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from companion.files.lines import quoted
from companion.score.abc.assemble import assemble
from companion.score.abc.fields import BODY_FIELDS, KNOWN_FIELDS
from companion.score.abc.glyphs import GlyphBooks
from companion.score.abc.header import read_header, report_unknown, split_header
from companion.score.abc.lines import Line
from companion.score.abc.music import MusicReader
from companion.score.abc.problems import Problems
from companion.score.abc.settings import SETTING_FIELDS, Settings
from companion.score.abc.text import plain_text
from companion.score.model import Field, Tune
from companion.score.place import Place

_QUOTED_OR_OVERLAY = re.compile(r'"[^"]*"|&[^|]*')
_VOICE = re.compile(r"\s*\[V:([^\]]*)\]")
_UNCLOSED_QUOTE = re.compile(r'"[^"|]*')


class TuneReader:
    """Reads the lines of one tune."""

    def __init__(
        self, lines: Sequence[Line], file_header: Sequence[Line], books: GlyphBooks, problems: Problems
    ) -> None:
        self._problems = problems
        self._settings = Settings(problems)
        head, self._body = split_header(lines, problems)
        self._header = read_header(head, file_header, self._settings, problems)
        self._opening = replace(self._settings)
        self._music = MusicReader(self._settings, books, problems, self._change)
        self._voice: str | None = None
        self._silent = False

    def read(self) -> Tune | None:
        """The tune, or None where it holds nothing to play."""
        for line in self._body:
            if line.key:
                self._field_line(line)
            else:
                self._music_line(line)
        last = self._body[-1] if self._body else None
        place = self._problems.place(last.number, len(last.text) + 1) if last else self._header.place
        self._music.finish(place)
        bars = self._music.bars.bars
        if not bars:
            self._problems.error(self._header.place, "the tune holds no music", "write its notes after the K: field")
            return None
        return assemble(self._header, self._opening, bars, self._problems)

    def _music_line(self, line: Line) -> None:
        voice = _VOICE.match(line.text) if "[V:" in line.text else None
        if voice:
            self._switch_voice(voice[1], self._problems.place(line.number, voice.start(1) + 1))
        if not self._silent:
            self._music.read_line(line.number, self._prepared(line))

    def _field_line(self, line: Line) -> None:
        place = self._problems.place(line.number, line.column)
        if line.key not in KNOWN_FIELDS:
            report_unknown(line, self._problems)
        elif line.key not in BODY_FIELDS:
            what = f"the field {line.key}: belongs into the header"
            self._problems.deviation(place, what, "write it before the K: field")
            self._keep(line.key, line.text, place)
        else:
            self._change(line.key, line.text, place)

    def _change(self, key: str, text: str, place: Place) -> None:
        """Obey a field in the body, on a line of its own or within the music."""
        if key in SETTING_FIELDS:
            self._settings.apply(key, text, place)
            self._music.settings_changed()
        elif key == "P":
            self._music.bars.label(text.strip().rstrip("."))
        elif key == "V":
            self._switch_voice(text, place)
        elif key in KNOWN_FIELDS:
            self._keep(key, text, place)
        else:
            what = f"there is no field '{key}:'"
            self._problems.error(place, what, "take it out, or write [r:...] for a remark")

    def _keep(self, key: str, text: str, place: Place) -> None:
        self._header.fields.append(Field(key, plain_text(text.strip()), place))

    def _switch_voice(self, text: str, place: Place) -> None:
        name = (text.split() or [""])[0]
        if self._voice is None:
            self._voice = name
        self._silent = name != self._voice
        if self._silent and self._problems.first_time("voices"):
            what = f"only the first voice is read, {quoted(name)} is left out"
            self._problems.warn(place, what, "write it as a tune of its own")

    def _prepared(self, line: Line) -> str:
        """A line of music without what is not read as words: the continuation mark, overlays, an unclosed quotation."""
        text = line.text
        if "\\" in text:
            text = text.rstrip().removesuffix("\\")
        if "&" in text:
            text = _QUOTED_OR_OVERLAY.sub(lambda match: self._without_overlay(match, line.number), text)
        if text.count('"') % 2:
            text = self._without_unclosed(text, line.number)
        return text

    def _without_overlay(self, match: re.Match[str], number: int) -> str:
        if match[0].startswith('"'):
            return match[0]
        place = self._problems.place(number, match.start() + 1)
        self._problems.warn(place, "a chanter plays one voice, so the overlay is left out", "write the melody alone")
        return " " * len(match[0])

    def _without_unclosed(self, text: str, number: int) -> str:
        """Blank out what follows a last, lonely quotation mark in its bar."""
        at = text.rindex('"')
        place = self._problems.place(number, at + 1)
        self._problems.error(place, "a quotation mark is not closed", "write the second one")
        self._music.bars.doubt()
        return _UNCLOSED_QUOTE.sub(lambda match: " " * len(match[0]), text[at:]).join((text[:at], ""))
