"""The fields that change how music is read: M:, L:, K:, Q: and U:."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

from companion.files.lines import quoted
from companion.score.abc.decorations import DEFAULT_SYMBOLS, read_symbol
from companion.score.abc.fields import default_unit, is_old_tempo, read_meter, read_tempo, read_unit
from companion.score.abc.keys import PIPE_KEY, Key, read_key
from companion.score.abc.problems import Problems
from companion.score.model import FREE, Meter, Tempo
from companion.score.place import Place

# A header's fields in the order in which they depend on each other: the unit on the metre, an old tempo on the unit.
SETTING_FIELDS = "UMLKQ"


@dataclass(slots=True)
class Settings:
    """What is in force at one moment of a tune. `unit_given` is False while the unit follows from the metre."""

    problems: Problems
    meter: Meter = FREE
    unit: Fraction = Fraction(1, 8)
    unit_given: bool = False
    key: Key = PIPE_KEY
    tempo: Tempo | None = None
    symbols: dict[str, str] = field(default_factory=lambda: dict(DEFAULT_SYMBOLS))

    def apply(self, key: str, text: str, place: Place) -> None:
        """Take over one field. What cannot be read is said, and changes nothing."""
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

    def derive_unit(self) -> None:
        """At the end of a header: the unit that the metre implies, where none was given."""
        if not self.unit_given:
            self.unit = default_unit(self.meter)

    def _meter(self, text: str, place: Place) -> None:
        meter = read_meter(text)
        if meter is None:
            self.problems.error(place, f"{quoted(text.strip())} is no metre", "write M:6/8, M:C, M:C| or M:none")
        else:
            self.meter = meter

    def _unit(self, text: str, place: Place) -> None:
        unit = read_unit(text)
        if unit is None:
            self.problems.error(place, f"{quoted(text.strip())} is no unit note length", "write L:1/8, L:1/16 or such")
        else:
            self.unit, self.unit_given = unit, True

    def _key(self, text: str, place: Place) -> None:
        key = read_key(text)
        if key is None:
            self.problems.error(place, f"{quoted(text.strip())} is no key", "write K:HP, the key of pipe music, or K:D")
        else:
            self.key = key

    def _tempo(self, text: str, place: Place) -> None:
        tempo = read_tempo(text, self.unit)
        if tempo is None:
            self.problems.error(place, f"{quoted(text.strip())} is no tempo", "write Q:1/4=80 or Q:3/8=76")
        elif isinstance(tempo, Tempo):
            self.tempo = tempo
            if is_old_tempo(text):
                self.problems.deviation(place, f"{quoted(text.strip())} is an old form of tempo", "write Q:1/4=80")

    def _symbol(self, text: str, place: Place) -> None:
        symbol = read_symbol(text)
        if symbol is None:
            self.problems.error(place, f"{quoted(text.strip())} defines no symbol", "write U:T = !trill! or such")
        else:
            self.symbols[symbol[0]] = symbol[1]
