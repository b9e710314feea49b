"""Keys of the playing screen on screens that hold a tune that plays, where they mean the same."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TypeVar

from companion.window.core.display import Display
from companion.window.core.hints import KeyHint
from companion.window.play.play_state import PlayState

Holder = TypeVar("Holder")


def same_keys(
    hints: Iterable[KeyHint[PlayState]], play_of: Callable[[Holder], PlayState]
) -> tuple[KeyHint[Holder], ...]:
    """Keys of the playing screen for another screen; play_of: from its state to that of the tune that plays in it."""
    return tuple(
        KeyHint(hint.actions, _asked_of(hint.words, play_of), hint.sentence, hint.group, hint.beside) for hint in hints
    )


def _asked_of(
    words: Callable[[PlayState, Display], str], play_of: Callable[[Holder], PlayState]
) -> Callable[[Holder, Display], str]:
    return lambda state, display: words(play_of(state), display)
