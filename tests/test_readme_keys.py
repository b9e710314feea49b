"""The README's table of keys is that of the program."""

from __future__ import annotations

import pytest

from tests.readme_keys import BEGIN, END, README, with_keys

pytestmark = pytest.mark.same_everywhere


def test_the_readme_has_the_table_of_keys_as_it_is() -> None:
    """`python3 -m tests.readme_keys` writes it anew."""
    text = README.read_text(encoding="utf-8")
    assert BEGIN in text
    assert END in text
    assert with_keys(text) == text
