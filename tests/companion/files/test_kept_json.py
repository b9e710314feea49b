"""What is kept as JSON is read by one rule: size, depth, types, ranges, finite numbers."""

from __future__ import annotations

import contextlib
import json
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.files.kept_json import DEEPEST, LONGEST_TEXT, Table, Unfit, parse_table

ROOM = 100_000


def table(text: str) -> Table:
    """The table of a text."""
    return parse_table(text.encode(), ROOM)


def nested(levels: int) -> str:
    """A table with so many levels in it, itself counted."""
    return '{"a": ' + "[" * (levels - 1) + "]" * (levels - 1) + "}"


@pytest.mark.parametrize(
    ("data", "why"),
    [
        (b"", "not JSON"),
        (b"[]", "not a table"),
        (b"\xff\xfe", "not UTF-8"),
        (b'{"a": NaN}', "NaN is no number"),
        (b'{"a": -Infinity}', "no number"),
        (b'{"a": 1e999}', "out of reach"),
        (b'{"a": ' + b"9" * 5000 + b"}", "too long"),
        (b'{"a": ' + b"[" * 50_000, "nested"),
        (b'{"a": "' + b"[" * 50 + b'", "b"', "not JSON"),
        (b" " * (ROOM + 1), "more than"),
    ],
)
def test_what_is_no_table_is_refused(data: bytes, why: str) -> None:
    """With the reason, and before any of it is built."""
    with pytest.raises(Unfit, match=why):
        parse_table(data, ROOM)


def test_nesting_is_counted_without_texts() -> None:
    """To the exact level; brackets within a text nest nothing, and a quotation mark within one does not end it."""
    assert table(nested(DEEPEST)).has("a")
    with pytest.raises(Unfit, match="nested"):
        table(nested(DEEPEST + 1))
    assert table(json.dumps({"a": '"' + "[" * 99})).text("a").startswith('"[')


READERS: dict[str, tuple[Callable[[Table], object], list[object], list[object]]] = {
    "text": (lambda t: t.text("a"), ["", "x" * LONGEST_TEXT], [None, 1, [], "x" * (LONGEST_TEXT + 1)]),
    "number": (lambda t: t.number("a", 1.0, 2.0), [1, 1.5, 2.0], [0.99, 2.01, True, "1", None, [1], 10**400]),
    "whole": (lambda t: t.whole("a", 0, 15), [0, 15], [-1, 16, 1.0, False, "1", None]),
    "flag": (lambda t: t.flag("a"), [True, False], [0, 1, "true", None]),
    "one of": (lambda t: t.one_of("a", {"on": 1}), ["on"], ["off", 1, None, ["on"], {}]),
    "table": (lambda t: t.table("a"), [{}, {"b": 1}], [[], None, 1, "{}"]),
    "tables": (lambda t: t.tables("a", 2), [[{}, {}]], [[{}], [{}, 1], {}, None, "ab"]),
    "tables up to": (lambda t: t.tables_up_to("a", 2), [[], [{}], [{}, {}]], [[{}, {}, {}], [1], {}, None, "ab"]),
    "wholes": (lambda t: t.wholes("a", 2, 0, 9), [[0, 9]], [[0], [0, 10], [0, "1"], {"0": 1, "1": 2}, "12"]),
    "moment": (
        lambda t: t.moment("a"),
        ["2026-01-02T03:04:05+00:00", "1970-01-01T00:00:00Z"],
        ["2026-01-02T03:04:05", "0001-01-01T00:00:00+00:00", "9999-12-31T23:59:59-23:00", "yesterday", 5, ""],
    ),
}


@pytest.mark.parametrize("name", READERS)
def test_each_reader_takes_its_own_kind_only(name: str) -> None:
    """A value of any other kind raises Unfit, which names the key."""
    read, fitting, others = READERS[name]
    for value in fitting:
        read(table(json.dumps({"a": value})))
    for value in others:
        with pytest.raises(Unfit, match="'a'"):
            read(table(json.dumps({"a": value})))
    with pytest.raises(Unfit, match="there is no 'a'"):
        read(table("{}"))


@given(st.binary(max_size=200))
def test_any_bytes_are_a_table_or_unfit(data: bytes) -> None:
    """Nothing else is raised."""
    with contextlib.suppress(Unfit):
        assert isinstance(parse_table(data, ROOM), Table)


_JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=3), inner, max_size=3),
)


@given(st.dictionaries(st.just("a"), _JSON, max_size=1), st.sampled_from(sorted(READERS)))
def test_any_json_is_read_or_unfit(values: dict[str, object], name: str) -> None:
    """By each of the readers; NaN and Infinity among the numbers."""
    with contextlib.suppress(Unfit):
        READERS[name][0](table(json.dumps(values)))
