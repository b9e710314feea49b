"""What is tried: anything that tells notes from samples."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from importlib import import_module
from typing import Protocol

from fingering.errors import UserError
from tests.hearing.recording import Samples, TrueRecording
from tests.hearing.truth import HeardEvent


class Hearing(Protocol):
    """Hears notes: samples are float32, shape (n,) or (n, channels); what it tells is (onset_s, stop_s, note)."""

    def __call__(self, samples: Samples, rate_hz: int, /) -> Sequence[HeardEvent]: ...


@dataclass(frozen=True, slots=True)
class Contender:
    """A hearing by name. hear: what it hears of a recording, and the seconds of one core that it took.

    It is given the whole recording, so that a general pitch tracker may know the true tuning; a hearing of ours gets
    the samples alone (see `by_samples`).
    """

    name: str
    hear: Callable[[TrueRecording], tuple[Sequence[HeardEvent], float]]


def by_samples(name: str, hearing: Hearing) -> Contender:
    """A contender that knows of a recording nothing but its samples."""

    def hear(recording: TrueRecording) -> tuple[Sequence[HeardEvent], float]:
        began_s = time.process_time()
        heard = hearing(recording.samples, recording.rate_hz)
        return heard, time.process_time() - began_s

    return Contender(name, hear)


def by_path(path: str) -> Contender:
    """The contender at `module:function`. Raises UserError where there is none."""
    module, _, function = path.partition(":")
    try:
        return by_samples(path, getattr(import_module(module), function))
    except (ImportError, AttributeError, ValueError) as error:
        raise UserError(f"there is no hearing '{path}' ({error})", "write module:function") from None
