"""The settings that change how music is read, as the fields M:, L:, K:, Q:, U:, m:, I: and %% set them."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from fractions import Fraction

from companion.files.lines import quoted
from companion.score.abc.header.fields import (
    default_unit,
    is_old_tempo,
    meter_within,
    read_meter,
    read_tempo,
    read_unit,
    tempo_within,
    unit_within,
)
from companion.score.abc.header.keys import PIPE_KEY, Key, read_key
from companion.score.abc.header.transposing import Transposition, shift_of_directive, shift_of_key
from companion.score.abc.text.decorations import DEFAULT_SYMBOLS, read_symbol
from companion.score.abc.text.macros import Macro, read_macro
from companion.score.form.heading import OpeningSettings
from companion.score.form.problems import Problems
from companion.score.model import FREE, Meter, Tempo
from companion.score.place import Place
from companion.score.problems import ProblemKind

# A header's fields in the order in which they depend on each other: the unit on the metre, an old tempo on the unit.
SETTING_FIELDS = "UmIMLKQ"

MOST_MACROS = 100


@dataclass(slots=True)
class Settings:
    """The settings in force at one moment of a tune. `unit_given` is False while the unit follows from the metre."""

    problems: Problems
    transposition: Transposition = field(default_factory=Transposition)
    meter: Meter = FREE
    unit: Fraction = Fraction(1, 8)
    unit_given: bool = False
    key: Key = PIPE_KEY
    tempo: Tempo | None = None
    symbols: dict[str, str] = field(default_factory=lambda: dict(DEFAULT_SYMBOLS))
    macros: list[Macro] = field(default_factory=list)
    bang_ends_lines: bool = False

    def apply(self, key: str, text: str, place: Place) -> None:
        """Take over one field by its letter. One that cannot be read is reported and changes nothing."""
        match key:
            case "M":
                self._meter(text, place)
            case "L":
                self._unit(text, place)
            case "K":
                self._key(text, place)
            case "Q":
                self._tempo(text, place)
            case "U":
                self._symbol(text, place)
            case "m":
                self._macro(text, place)
            case "I":
                self._directive(text)

    def opening(self) -> OpeningSettings:
        """What is in force now, to be kept while fields among the music change it."""
        return OpeningSettings(self.meter, self.key.text, self.tempo, self.unit)

    def derive_unit(self) -> None:
        """At the end of a header, set the unit note length that the metre implies, where none was given."""
        if not self.unit_given:
            self.unit = default_unit(self.meter)

    def voice(self, text: str) -> None:
        """Take over the transposition that a V: field asks for."""
        self._transpose(self.transposition.by_key(shift_of_key(text)))

    def _meter(self, text: str, place: Place) -> None:
        meter = read_meter(text)
        if meter is None:
            self.meter = meter_within(text) or FREE
            what = f"{quoted(text.strip())} is no metre, so it is taken for {self.meter.text}"
            self.problems.add(ProblemKind.UNKNOWN_METRE, place, what, "write M:6/8, M:C, M:C| or M:none")
        else:
            self.meter = meter

    def _unit(self, text: str, place: Place) -> None:
        unit = read_unit(text)
        if unit is None:
            unit = unit_within(text)
            what = f"{quoted(text.strip())} is no unit note length"
            self.problems.add(ProblemKind.UNKNOWN_UNIT, place, what, "write L:1/8, L:1/16 or such")
        if unit is not None:
            self.unit, self.unit_given = unit, True

    def _key(self, text: str, place: Place) -> None:
        self._transpose(self.transposition.by_key(shift_of_key(text)))
        key = read_key(text)
        if key is None:
            what = f"{quoted(text.strip())} is no key, so the pipe scale is taken"
            self.problems.add(ProblemKind.UNKNOWN_KEY, place, what, "write K:HP, the key of pipe music, or K:D")
        elif key.odd:
            what = f"{quoted(text.strip())} is taken for the key {key.text}"
            self.problems.add(ProblemKind.KEY_SPELLED_ODDLY, place, what, f"write K:{key.text}")
        self.key = _shifted(key or PIPE_KEY, self.transposition.shift)

    def _transpose(self, transposition: Transposition) -> None:
        self.transposition = transposition
        self.key = _shifted(self.key, transposition.shift)

    def _tempo(self, text: str, place: Place) -> None:
        tempo = read_tempo(text, self.unit)
        if tempo is None:
            tempo = tempo_within(text)
            taken = f", so it is taken for {tempo.beats_per_minute:g} a minute" if tempo else ""
            what = f"{quoted(text.strip())} is no tempo{taken}"
            self.problems.add(ProblemKind.UNKNOWN_TEMPO, place, what, "write Q:1/4=80 or Q:3/8=76")
        elif is_old_tempo(text):
            what = f"{quoted(text.strip())} is an old form of tempo"
            self.problems.add(ProblemKind.OLD_TEMPO, place, what, "write Q:1/4=80")
        if isinstance(tempo, Tempo):
            self.tempo = tempo

    def _symbol(self, text: str, place: Place) -> None:
        symbol = read_symbol(text)
        if symbol is None:
            what = f"{quoted(text.strip())} defines no symbol"
            self.problems.add(ProblemKind.UNKNOWN_SYMBOL_DEFINITION, place, what, "write U:T = !trill! or such")
        else:
            self.symbols[symbol[0]] = symbol[1]

    def _macro(self, text: str, place: Place) -> None:
        macro = read_macro(text)
        if macro is None or len(self.macros) >= MOST_MACROS:
            what = f"{quoted(text.strip())} defines no macro"
            self.problems.add(ProblemKind.UNKNOWN_MACRO, place, what, "write m:t = {gdG} or such")
        else:
            self.macros.append(macro)

    def _directive(self, text: str) -> None:
        words = text.split()
        if words[:1] == ["linebreak"]:
            self.bang_ends_lines = "!" in words
        shift = shift_of_directive(text)
        if shift is not None:
            self._transpose(self.transposition.by_directive(shift))


def _shifted(key: Key, shift: int) -> Key:
    return key if key.shift == shift else replace(key, shift=shift)
