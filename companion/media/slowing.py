"""Plays sound more slowly at the same pitch, by FFmpeg's filter `atempo` (overlapped pieces of the waveform itself).

That filter works in windows of a 24th of a second or more, in which a gracenote would be smeared and its onset told
25 ms early at four times slower. So it is told a rate that is lower than the true one: its windows then last 20 ms,
four periods of a practice chanter's lowest note. DEVELOPERS.md has the figures.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction
from typing import Any

import numpy as np
from numpy.typing import NDArray

from companion.files.signals import signals_raised_after
from companion.media.encoding import av_library

_TRUE_HZ, _TOLD_HZ = 104_000, 48_000
"""At 48 kHz the filter's windows are of 2,048 samples; at 104 kHz these last 20 ms. At half of both rates they last as
long, but pieces are laid beside each other less finely, and the pitch strays by as much again."""

_SLOWEST_STEP = 2.0
_EARLY_S = 0.0034
"""How early an onset comes for each time that the sound is twice as slow, by measurement on reeds."""

_FEED_FRAMES = 4_096


def reads_from_s(at_s: float, slow_down: float) -> float:
    """From where a sound is to be given to `slowed` for that which is heard first to be what lies at `at_s`."""
    return at_s - _EARLY_S * (slow_down - 1.0) / slow_down


def slowed(
    blocks: Iterable[NDArray[np.float32]], rate_hz: int, slow_down: float, out_hz: int
) -> Iterator[NDArray[np.float32]]:
    """Yield a mono sound `slow_down` times slower (1 and more) at the same pitch, at `out_hz`, a block at a time.

    blocks: float32, shape (n,), at `rate_hz`. Raises UserError where PyAV is not there.
    """
    av = av_library()
    source, sink, graph = _graph(rate_hz, slow_down, out_hz)
    given = 0
    for part in _even(blocks):
        frame = av.AudioFrame.from_ndarray(part[np.newaxis], format="flt", layout="mono")
        frame.sample_rate, frame.pts, frame.time_base = rate_hz, given, Fraction(1, rate_hz)
        given += len(part)
        source.push(frame)
        yield from _made(av, sink)
    source.push(None)
    yield from _made(av, sink)
    del graph


def _even(blocks: Iterable[NDArray[np.float32]]) -> Iterator[NDArray[np.float32]]:
    """Yield the samples in blocks of one length, the last one shorter, since what the filters make depends on that."""
    held = np.zeros(0, np.float32)
    for block in blocks:
        held = np.concatenate((held, block.astype(np.float32, copy=False)))
        even = len(held) - len(held) % _FEED_FRAMES
        for first in range(0, even, _FEED_FRAMES):
            yield held[first : first + _FEED_FRAMES].copy()
        held = held[even:]
    if len(held):
        yield held.copy()


def _made(av: Any, sink: Any) -> Iterator[NDArray[np.float32]]:
    while True:
        try:
            with signals_raised_after():
                frame = sink.pull()
        except (av.error.BlockingIOError, av.error.EOFError):
            return
        yield frame.to_ndarray().reshape(-1)


def _graph(rate_hz: int, slow_down: float, out_hz: int) -> tuple[Any, Any, Any]:
    """The filters in a row: where samples go in, where they come out, and the graph, which must live as long."""
    from av.filter import Graph

    graph = Graph()
    graph.threads = 1  # with more, what is asked for waits for them to wake
    source = graph.add_abuffer(format="flt", sample_rate=rate_hz, layout="mono", time_base=Fraction(1, rate_hz))
    last = source
    for name, value in _filters(slow_down, out_hz):
        following = graph.add(name, value)
        last.link_to(following)
        last = following
    sink = graph.add("abuffersink")
    last.link_to(sink)
    graph.configure()
    return source, sink, graph


def _filters(slow_down: float, out_hz: int) -> Iterator[tuple[str, str]]:
    if slow_down > 1.0:
        yield "aresample", str(_TRUE_HZ)
        yield "asetrate", str(_TOLD_HZ)
        while slow_down > _SLOWEST_STEP:
            yield "atempo", f"{1.0 / _SLOWEST_STEP}"
            slow_down /= _SLOWEST_STEP
        yield "atempo", f"{1.0 / slow_down:.9f}"
        yield "asetrate", str(_TRUE_HZ)
    yield "aresample", str(out_hz)
    yield "aformat", "sample_fmts=flt:channel_layouts=mono"
