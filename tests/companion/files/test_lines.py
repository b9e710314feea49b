"""Text of a stranger is printed as one line without control characters."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.files.lines import LONGEST_QUOTED, one_line, quoted


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("The Ebb", "The Ebb"),
        ("a\nb", "a<0A>b"),
        ("\x1b[2J", "<1B>[2J"),
        ("\u202ereversed", "<202E>reversed"),
        ("Fèis an\u00a0Eilein", "Fèis an Eilein"),
        ("\ud800", "<D800>"),
    ],
)
def test_what_does_not_print_is_shown_by_its_code(text: str, shown: str) -> None:
    """A blank of any sort is a blank."""
    assert one_line(text) == shown


@given(st.text())
def test_any_text_becomes_one_line_that_prints(text: str) -> None:
    """Whatever it holds."""
    assert one_line(text).isprintable()
    assert len(quoted(text)) <= (LONGEST_QUOTED * len("<10FFFF>")) + 3
