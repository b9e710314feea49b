"""Reads JSON that may hold anything: within limits of size and depth, each value checked for its kind and range."""

from __future__ import annotations

import base64
import json
import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, NoReturn, TypeVar

Choice = TypeVar("Choice")

DEEPEST = 16
"""Levels of tables and rows within each other; what this program keeps has four."""

LONGEST_TEXT = 4096
"""Letters of one text: as long as the longest path of a file on Linux."""

FIRST_YEAR, LAST_YEAR = 1970, 9000
"""Computers count from 1970; at either end of what Python counts, a moment cannot be told in every time zone."""

_STRING_OR_BRACKET = re.compile(r'"[^"\\]*(?:\\.[^"\\]*)*"?|[\[\]{}]', re.DOTALL)


class Unfit(Exception):
    """Raised where JSON does not hold what was asked for; its words can stand in brackets in a sentence."""


def parse_table(data: bytes, most_bytes: int) -> Table:
    """The JSON object in `data`; its values are checked when they are read. Raises Unfit for anything else."""
    if len(data) > most_bytes:
        raise Unfit(f"it holds more than {most_bytes} bytes")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise Unfit("it is not UTF-8") from None
    _refuse_depth(text)
    try:
        values = json.loads(text, parse_float=_finite, parse_constant=_no_number)
    except json.JSONDecodeError as error:
        raise Unfit(f"it is not JSON from line {error.lineno}, column {error.colno} on") from None
    except ValueError:  # an integer of more digits than Python reads
        raise Unfit("a number in it is too long") from None
    return _table(values, "it")


def _refuse_depth(text: str) -> None:
    """Raise Unfit for text nested too deep, before a parser that recurses would end in a RecursionError."""
    depth = 0
    for found in _STRING_OR_BRACKET.finditer(text):
        if found[0] in "[{":
            depth += 1
        elif found[0] in "]}":
            depth -= 1
        if depth > DEEPEST:
            raise Unfit(f"it is nested more than {DEEPEST} levels deep")


def _finite(text: str) -> float:
    number = float(text)
    if not math.isfinite(number):
        raise Unfit("a number in it is out of reach")
    return number


def _no_number(text: str) -> NoReturn:
    raise Unfit(f"{text} is no number")


def _table(value: Any, name: str) -> Table:
    if not isinstance(value, dict):
        raise Unfit(f"{name} is not a table")
    return Table(value)


@dataclass(frozen=True, slots=True)
class Table:
    """A JSON object. Each method reads the value of one key and raises Unfit, naming the key, if it does not fit."""

    values: Mapping[str, Any]

    @property
    def keys(self) -> tuple[str, ...]:
        """The keys, in the order of the file. Raises Unfit for one longer than LONGEST_TEXT."""
        if any(len(key) > LONGEST_TEXT for key in self.values):
            raise Unfit("one of its keys is too long")
        return tuple(self.values)

    def has(self, key: str) -> bool:
        """Whether the key is there with a value other than null."""
        return self.values.get(key) is not None

    def text(self, key: str) -> str:
        """A string of LONGEST_TEXT letters at most."""
        value = self._of(key)
        if not isinstance(value, str) or len(value) > LONGEST_TEXT:
            raise Unfit(f"'{key}' is not a text of {LONGEST_TEXT} letters at most")
        return value

    def packed(self, key: str, most: int) -> bytes:
        """Bytes that are kept as Base64, of `most` letters at most."""
        value = self._of(key)
        if not isinstance(value, str) or len(value) > most:
            raise Unfit(f"'{key}' is not packed in {most} letters at most")
        try:
            return base64.b64decode(value, validate=True)
        except ValueError as error:
            raise Unfit(f"'{key}' is not Base64") from error

    def number(self, key: str, low: float, high: float) -> float:
        """A finite number from `low` to `high`."""
        value = self._of(key)
        if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
            raise Unfit(f"'{key}' is not a number from {low:g} to {high:g}")
        return float(value)

    def numbers(self, key: str, count: int, low: float, high: float) -> tuple[float, ...]:
        """A list of exactly `count` finite numbers from `low` to `high`."""
        return tuple(Table({key: each}).number(key, low, high) for each in self._row(key, count))

    def whole(self, key: str, low: int, high: int) -> int:
        """A whole number from `low` to `high`."""
        return _whole(self._of(key), f"'{key}'", low, high)

    def flag(self, key: str) -> bool:
        """True or false, as JSON has them."""
        value = self._of(key)
        if not isinstance(value, bool):
            raise Unfit(f"'{key}' is neither true nor false")
        return value

    def one_of(self, key: str, choices: Mapping[str, Choice]) -> Choice:
        """The choice whose name the value is."""
        value = self._of(key)
        if not isinstance(value, str) or value not in choices:
            raise Unfit(f"'{key}' is none of {', '.join(choices)}")
        return choices[value]

    def moment(self, key: str) -> datetime:
        """A date and time in ISO 8601 with its time zone, from FIRST_YEAR to LAST_YEAR."""
        try:
            moment = datetime.fromisoformat(self.text(key))
        except ValueError:
            raise Unfit(f"'{key}' is not a date and time") from None
        if moment.tzinfo is None:
            raise Unfit(f"'{key}' has no time zone")
        if not FIRST_YEAR <= moment.year <= LAST_YEAR:
            raise Unfit(f"'{key}' is not in the years {FIRST_YEAR} to {LAST_YEAR}")
        return moment

    def table(self, key: str) -> Table:
        """The object under a key."""
        return _table(self._of(key), f"'{key}'")

    def tables(self, key: str, count: int) -> tuple[Table, ...]:
        """A list of exactly `count` objects."""
        return tuple(_table(each, f"one of '{key}'") for each in self._row(key, count))

    def tables_up_to(self, key: str, most: int) -> tuple[Table, ...]:
        """A list of any number of objects, `most` of them at most."""
        value = self._of(key)
        if not isinstance(value, list) or len(value) > most:
            raise Unfit(f"'{key}' is not a row of {most} at most")
        return tuple(_table(each, f"one of '{key}'") for each in value)

    def wholes(self, key: str, count: int, low: int, high: int) -> tuple[int, ...]:
        """A list of exactly `count` whole numbers from `low` to `high`."""
        return tuple(_whole(each, f"one of '{key}'", low, high) for each in self._row(key, count))

    def _row(self, key: str, count: int) -> Sequence[Any]:
        value = self._of(key)
        if not isinstance(value, list) or len(value) != count:
            raise Unfit(f"'{key}' is not a row of {count}")
        return value

    def _of(self, key: str) -> Any:
        if key not in self.values:
            raise Unfit(f"there is no '{key}'")
        return self.values[key]


def _whole(value: Any, name: str, low: int, high: int) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
        raise Unfit(f"{name} is not a whole number from {low} to {high}")
    return value
