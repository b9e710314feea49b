"""What all tests share."""

from __future__ import annotations

import sys
from collections.abc import Iterator

import pytest
from hypothesis import settings

# No test is judged by the clock: a busy machine must not fail a fact.
settings.register_profile("eightholes", deadline=None)
settings.load_profile("eightholes")


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
