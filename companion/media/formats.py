"""The kinds of files that compressed sound and films are written as, by the ending of their names: declarative tables."""

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
    """How one stream is encoded: the name of the encoder in FFmpeg's list, its options, and bits a second, 0 for any."""

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

# H.264 in MP4 plays everywhere; "+faststart" puts the index before the pictures, so that a browser begins at once. A
# picture of lanes is flat colour with sharp edges: a constant quality of 20 shows no difference, at some 50 kB a second.
# Of x264's presets "veryfast" makes the smallest file of those that are quick (measured: DEVELOPERS.md). VP9 and not VP8
# in WebM: libvpx encodes it seven times as fast here, and what plays one plays the other.
_H264 = Coding("libx264", 0, MappingProxyType({"preset": "veryfast", "crf": "20"}))
_VP9 = Coding(
    "libvpx-vp9",
    0,
    MappingProxyType({"deadline": "realtime", "cpu-used": "8", "crf": "32", "row-mt": "1", "tile-columns": "2"}),
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
