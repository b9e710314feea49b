"""What the tests of the program share."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.companion.loaded import Loaded


@pytest.fixture(scope="session")
def loaded() -> Iterator[Loaded]:
    """A process that has loaded the program, to run it from many times."""
    opened = Loaded()
    yield opened
    opened.close()
