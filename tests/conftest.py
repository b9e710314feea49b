"""What all tests share."""

from __future__ import annotations

from hypothesis import settings

# No test is judged by the clock: a busy machine must not fail a fact.
settings.register_profile("eightholes", deadline=None)
settings.load_profile("eightholes")
