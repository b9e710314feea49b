"""A voice that was learnt, as bytes that can be kept and read back."""

from __future__ import annotations

import json
import zlib
from typing import Any

import numpy as np
from numpy.typing import NDArray

from companion.hearing.echoes.beginnings import Beginnings
from companion.hearing.echoes.room import RoomEcho
from companion.hearing.learnt import Learnt
from companion.hearing.scale_fit import Bore, ScaleFit
from companion.hearing.spectra import FrameGrid
from companion.hearing.voice import LearntVoice, audible_pitches
from fingering.errors import UserError
from fingering.notes import TUNINGS, Note

MAGIC = b"eightholes voice\n"
VERSION, EARLIEST_VERSION = 2, 1
"""Version 1 knew nothing of how notes begin in a room."""

REMEDY = "have the chanter learnt anew: play its scale once"

MOST_BYTES = 1_000_000
"""No voice is as long; a head that promises more is damage."""


def voice_to_bytes(learnt: Learnt) -> bytes:
    """What was learnt, in some 20 kB: a head as JSON, then its arrays as float32, all packed and with a checksum."""
    voice, scale = learnt.voice, learnt.scale
    head = {
        "bore": scale.bore.name,
        "tuning": scale.tuning.name,
        "low_a_hz": scale.low_a_hz,
        "scale_hz": scale.notes_hz,
        "share": scale.heard,
        "fit": [scale.fit, scale.rival],
        "drones": scale.drones,
        "grid": [learnt.grid.rate_hz, learnt.grid.window, learnt.grid.hop],
        "own_db": learnt.own_db,
        "heard": learnt.heard,
        "echo": [learnt.echo.share, learnt.echo.decay_s] if learnt.echo else None,
        "noise_db": learnt.noise_db,
        "unlike_share": learnt.unlike_share,
        "pitches": len(voice.pitches),
        "ranks": voice.harmonics.shape[1],
        "bins": len(learnt.ground),
        "begins": learnt.beginnings is not None,
    }
    arrays = [voice.hz, voice.harmonics, voice.breath, voice.seen, voice.seen_variance, learnt.ground]
    if learnt.beginnings is not None:
        arrays += [learnt.beginnings.over_db, learnt.beginnings.variance]
    body = b"".join(np.ascontiguousarray(each, "<f4").tobytes() for each in arrays)
    packed = zlib.compress(json.dumps(head).encode("utf-8") + b"\n" + body, 6)
    return MAGIC + VERSION.to_bytes(1, "big") + zlib.crc32(packed).to_bytes(4, "big") + packed


def voice_from_bytes(data: bytes) -> Learnt:
    """What was learnt, as `voice_to_bytes` wrote it. Raises UserError for anything else, and for what is damaged."""
    begins = len(MAGIC) + 5
    if not data.startswith(MAGIC) or len(data) < begins:
        raise UserError("this is no chanter's voice that was kept", REMEDY)
    if not EARLIEST_VERSION <= data[len(MAGIC)] <= VERSION:
        raise UserError("this chanter's voice was kept by another version of this program", REMEDY)
    packed = data[begins:]
    if zlib.crc32(packed) != int.from_bytes(data[len(MAGIC) + 1 : begins], "big"):
        raise UserError("what was kept of this chanter's voice is damaged", REMEDY)
    try:
        unpacker = zlib.decompressobj()
        head, _, body = unpacker.decompress(packed, MOST_BYTES).partition(b"\n")
        return _learnt(json.loads(head), body)
    except (zlib.error, ValueError, KeyError, TypeError, IndexError, StopIteration, RecursionError) as error:
        raise UserError(f"what was kept of this chanter's voice is no voice ({error})", REMEDY) from None


def _learnt(head: dict[str, Any], body: bytes) -> Learnt:
    tuning = next(each for each in TUNINGS if each.name == head["tuning"])
    pitches = audible_pitches(tuning)
    grid = FrameGrid(float(head["grid"][0]), int(head["grid"][1]), int(head["grid"][2]))
    count, ranks, bins = int(head["pitches"]), int(head["ranks"]), int(head["bins"])
    if count != len(pitches):
        raise ValueError("its false fingerings are others")
    if not 4_000.0 <= grid.rate_hz <= 100_000.0 or not 8 <= grid.window <= 10_000 or not 1 <= grid.hop <= grid.window:
        raise ValueError("its frames are none")
    if bins != len(grid.bins_hz) or not 1 <= ranks <= 100:
        raise ValueError("its spectra are of another length")
    by_bin = ((count, bins),) * (2 if head.get("begins", False) else 0)
    shapes = ((count,), (count, ranks), (count,), (count, bins), (count, bins), (bins,), *by_bin)
    hz, harmonics, breath, seen, variance, ground, *begins = _arrays(body, shapes)
    known = np.concatenate((hz, harmonics.ravel(), breath, ground, *map(np.ravel, begins)))
    above_nothing = (hz, ground, seen[~np.isnan(seen)], *begins[1:])
    if not np.isfinite(known).all() or any((each <= 0.0).any() for each in above_nothing):
        raise ValueError("its numbers are none")
    beginnings = Beginnings(begins[0], begins[1]) if begins else None
    scale = ScaleFit(
        Bore[head["bore"]],
        tuning,
        float(head["low_a_hz"]),
        tuple(float(each) for each in head["scale_hz"]),
        tuple(float(each) for each in head["share"]),
        float(head["fit"][0]),
        bool(head["drones"]),
        float(head["fit"][1]),
    )
    heard = tuple(int(each) for each in head["heard"])
    if not len(scale.notes_hz) == len(heard) == len(Note):
        raise ValueError("it has not nine notes")
    echo = RoomEcho(float(head["echo"][0]), float(head["echo"][1])) if head["echo"] else None
    voice = LearntVoice(pitches, hz, harmonics, breath, seen, variance)
    own_db, noise_db, unlike = (float(head[name]) for name in ("own_db", "noise_db", "unlike_share"))
    return Learnt(scale, grid, voice, ground.astype(np.float32), own_db, heard, echo, noise_db, unlike, beginnings)


def _arrays(body: bytes, shapes: tuple[tuple[int, ...], ...]) -> list[NDArray[np.float64]]:
    sizes = [int(np.prod(each)) for each in shapes]
    if len(body) != 4 * sum(sizes):
        raise ValueError("it is cut off")
    parts = np.split(np.frombuffer(body, "<f4").astype(np.float64), np.cumsum(sizes)[:-1])
    return [part.reshape(shape) for part, shape in zip(parts, shapes, strict=True)]
