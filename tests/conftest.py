"""What all tests share."""

from __future__ import annotations

import sys
from collections.abc import Iterator

import pytest
from hypothesis import settings

# No test is judged by the clock: a busy machine must not fail a fact.
settings.register_profile("eightholes", deadline=None)
settings.load_profile("eightholes")


ROWS_ALIKE = (
    "tests/fingering/",
    "tests/learners/",
    "tests/companion/film/",
    "tests/companion/handout/",
    "tests/companion/lesson/phrases/",
    "tests/companion/lesson/steps/",
    "tests/companion/listen/",
    "tests/companion/midi/maps/",
    "tests/companion/notate/",
    "tests/companion/schedule/",
    "tests/companion/score/",
    "tests/companion/sound/",
    "tests/companion/window/",
)
"""Where the rows of a test differ in tunes, sizes, numbers and words of ours alone: what one Python does with one row,
it does with the next."""


@pytest.hookimpl(tryfirst=True)  # before the marks are looked at
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark all rows of such a test but its first `same_everywhere`: every test runs on every Python, once at least."""
    seen: set[str] = set()
    for item in items:
        test = item.nodeid.partition("[")[0]
        if test in seen and test.startswith(ROWS_ALIKE):
            item.add_marker(pytest.mark.same_everywhere)
        seen.add(test)


@pytest.fixture(scope="session", autouse=True)
def _no_home_of_the_user(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Folders of our own (XDG Base Directory Specification), so that what a user kept neither changes nor matters."""
    with pytest.MonkeyPatch.context() as patch:
        for name in ("XDG_DATA_HOME", "XDG_CONFIG_HOME", "XDG_CACHE_HOME"):
            patch.setenv(name, str(tmp_path_factory.mktemp(name)))
        yield


@pytest.fixture(scope="module", autouse=True)
def _no_window_left_open() -> Iterator[None]:
    """Close what a module opened: where a window is open, a command that must refuse would show it, for good."""
    yield
    if pygame := sys.modules.get("pygame"):
        pygame.display.quit()
