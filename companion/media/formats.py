"""The kinds of files that compressed sound and films are written as, by the endings of their names: tables."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType

from companion.files.lines import quoted
from fingering.errors import UserError

NO_OPTIONS: Mapping[str, str] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Coding:
    """How one stream is encoded: FFmpeg's name of the encoder, its options, and bits a second, 0 for any."""

    encoder: str
    bit_rate: int = 0
    options: Mapping[str, str] = field(default_factory=lambda: NO_OPTIONS)


@dataclass(frozen=True, slots=True)
class MediaFormat:
    """A kind of file: FFmpeg's name of its container, how its sound is encoded, and its pictures if it has any."""

    ending: str
    container: str
    sound: Coding
    pictures: Coding | None = None
    options: Mapping[str, str] = field(default_factory=lambda: NO_OPTIONS)


# FLAC keeps every sample. MP3 plays on anything. In Ogg stands Opus (RFC 7845), not Vorbis: libvorbis is not among what
# PyAV carries, and FFmpeg's own Vorbis encoder is marked as experimental.
SOUND_FORMATS = (
    MediaFormat(".flac", "flac", Coding("flac")),
    MediaFormat(".mp3", "mp3", Coding("libmp3lame", 192_000)),
    MediaFormat(".ogg", "ogg", Coding("libopus", 128_000)),
)

# H.264 in MP4 plays everywhere; "+faststart" puts the index before the pictures, so that a browser begins at once.
# Lanes are flat colour with sharp edges: at a constant quality of 20 nobody sees a difference, at some 40 kB a second.
# Of x264's quick presets "veryfast" makes the smallest file: a picture of 1280x720 took 5.4, 7.3 and 8.7 ms of a
# processor, drawing included, and a second 107, 64 and 41 kB with "ultrafast", "superfast" and "veryfast". Without
# pictures that are foretold from both sides ("bf") the file is as small and takes a tenth less, and none waits for a
# later one, which a player that knows no edit list would show late. In WebM stands VP9 and not VP8, which libvpx
# encoded seven times more slowly; what plays one plays the other.
_H264 = Coding("libx264", 0, MappingProxyType({"preset": "veryfast", "crf": "20", "bf": "0"}))
_VP9 = Coding(
    "libvpx-vp9",
    0,
    MappingProxyType(
        {
            "deadline": "realtime",
            "cpu-used": "7",
            "crf": "26",
            "tune-content": "screen",
            "row-mt": "1",
            "tile-columns": "2",
        }
    ),
)
FILM_FORMATS = (
    MediaFormat(".mp4", "mp4", Coding("aac", 192_000), _H264, MappingProxyType({"movflags": "+faststart"})),
    MediaFormat(".webm", "webm", Coding("libopus", 128_000), _VP9),
)


def format_of(path: Path, formats: tuple[MediaFormat, ...]) -> MediaFormat | None:
    """The format that the ending of a name asks for, in small or capital letters; None for another ending."""
    return next((each for each in formats if each.ending == path.suffix.lower()), None)


def ending_unknown(path: Path, what: str, endings: tuple[str, ...]) -> UserError:
    """The refusal of a name whose ending says no kind of file that is written: `what` it would be, and which work."""
    listed = f"{', '.join(endings[:-1])} or {endings[-1]}"
    return UserError(f"{quoted(path.name)} has no ending of {what}", f"give a name that ends in {listed}")
