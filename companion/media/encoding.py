"""Encodes sound and pictures into a file, by PyAV (FFmpeg's libraries). Only this folder imports it, and only when
something is written: it takes a fifth of a second to load.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from companion.files.lines import one_line
from companion.files.signals import signals_raised_after
from companion.files.writing import whole_draft
from companion.media.formats import Coding, MediaFormat
from fingering.errors import UserError

if TYPE_CHECKING:
    from av.container import OutputContainer

CHANNELS = 2
_THREADS = 0  # as many as there are processors
_BT709 = 1  # ITU-T H.273: the colours of high definition, by the number that primaries, transfer and matrix share
_LIMITED = 1  # FFmpeg's number of the range 16 to 235, which every player expects
_PIXELS = "bgra"  # how pygame keeps a picture of 32 bits; the fourth byte is not looked at
_CODED_PIXELS = "yuv420p"  # the only one that every player shows


class SoundTrack:
    """The sound of a file that is being written, as 16-bit stereo at the rate it was opened for."""

    @signals_raised_after()
    def __init__(self, container: OutputContainer, coding: Coding, rate_hz: int) -> None:
        import av.audio

        stream = container.add_stream(coding.encoder, rate=rate_hz, options=dict(coding.options))
        assert isinstance(stream, av.audio.AudioStream)
        stream.codec_context.layout = "stereo"
        if coding.bit_rate:
            stream.codec_context.bit_rate = coding.bit_rate
        self._container, self._stream, self._rate_hz, self._frames = container, stream, rate_hz, 0

    @signals_raised_after()
    def add(self, samples: NDArray[np.int16]) -> None:
        """Encode the next samples: shape (frames, 2)."""
        import av

        packed = np.ascontiguousarray(samples).reshape(1, -1)
        frame = av.AudioFrame.from_ndarray(packed, format="s16", layout="stereo")
        frame.sample_rate, frame.pts, frame.time_base = self._rate_hz, self._frames, Fraction(1, self._rate_hz)
        self._frames += len(samples)
        self._container.mux(self._stream.encode(frame))

    @signals_raised_after()
    def finish(self) -> None:
        """Write what the encoder still holds."""
        self._container.mux(self._stream.encode(None))


class PictureTrack:
    """The pictures of a file that is being written, one after the other at an even pace."""

    @signals_raised_after()
    def __init__(self, container: OutputContainer, coding: Coding, size: tuple[int, int], frames_per_s: int) -> None:
        import av.video
        from av.video.reformatter import VideoReformatter

        stream = container.add_stream(coding.encoder, rate=frames_per_s, options=dict(coding.options))
        assert isinstance(stream, av.video.VideoStream)
        context = stream.codec_context
        context.width, context.height = size
        context.pix_fmt = _CODED_PIXELS
        context.bit_rate = coding.bit_rate
        context.thread_count = _THREADS
        context.time_base = Fraction(1, frames_per_s)
        context.colorspace = context.color_primaries = context.color_trc = _BT709
        context.color_range = _LIMITED
        self._container, self._stream, self._time_base = container, stream, context.time_base
        self._shape = (size[1], size[0], 4)
        self._reformatter = VideoReformatter()
        self._coded: Any = None
        self._frames = 0

    @signals_raised_after()
    def add(self, pixels: Any) -> None:
        """Encode a picture, from a buffer of its rows of blue, green, red and one more byte; it is not copied."""
        import av

        view = np.frombuffer(pixels, np.uint8).reshape(self._shape)
        frame = av.VideoFrame.from_numpy_buffer(view, _PIXELS)
        self._coded = self._reformatter.reformat(
            frame, format=_CODED_PIXELS, dst_colorspace=_BT709, dst_color_range=_LIMITED
        )
        self.hold()

    @signals_raised_after()
    def hold(self) -> None:
        """Encode the same picture once more."""
        self._coded.pts, self._coded.time_base = self._frames, self._time_base
        self._frames += 1
        self._container.mux(self._stream.encode(self._coded))

    @signals_raised_after()
    def finish(self) -> None:
        """Write what the encoder still holds."""
        self._container.mux(self._stream.encode(None))


@contextlib.contextmanager
def sound_file(path: Path, kind: MediaFormat, rate_hz: int, *, force: bool = False) -> Iterator[SoundTrack]:
    """A sound file to be written whole or not at all, in a format without pictures.

    force: whether a file that stands there is written over. Raises UserError where it cannot be written or encoded.
    """
    with _container(path, kind, "", force=force) as container:
        track = SoundTrack(container, kind.sound, rate_hz)
        yield track
        track.finish()


@contextlib.contextmanager
def film_file(
    path: Path,
    kind: MediaFormat,
    rate_hz: int,
    size: tuple[int, int],
    frames_per_s: int,
    *,
    title: str = "",
    force: bool = False,
) -> Iterator[tuple[PictureTrack, SoundTrack]]:
    """A film to be written whole or not at all; `size` = (width, height) pixels, both even.

    title: what players show. force: whether a file that stands there is written over. Raises UserError where it cannot
    be written or encoded.
    """
    assert kind.pictures is not None
    with _container(path, kind, title, force=force) as container:
        pictures = PictureTrack(container, kind.pictures, size, frames_per_s)
        sound = SoundTrack(container, kind.sound, rate_hz)
        yield pictures, sound
        pictures.finish()
        sound.finish()


@contextlib.contextmanager
def _container(path: Path, kind: MediaFormat, title: str, *, force: bool) -> Iterator[OutputContainer]:
    """A container that is written beside `path` and takes its place once it is complete."""
    av = av_library()
    with whole_draft(path, force=force) as draft, _our_errors(path):
        # "file:", or a colon in a folder's name would be taken for the name of a protocol.
        container = None
        try:
            with signals_raised_after():
                container = av.open(f"file:{draft}", "w", format=kind.container, options=dict(kind.options))
            if title:
                container.metadata["title"] = one_line(title)
            yield container
        except BaseException:
            if container:
                with contextlib.suppress(av.FFmpegError):  # what is half written goes; only the first fault is told
                    container.close()
            raise
        with signals_raised_after():
            container.close()


def av_library() -> Any:
    """PyAV. Raises UserError where it is not there or cannot be loaded."""
    try:
        import av
    except ImportError:
        remedy = "install it: python3 -m pip install av"
        raise UserError("compressed sound and films need the Python package 'av', which is not there", remedy) from None
    return av


@contextlib.contextmanager
def _our_errors(path: Path) -> Iterator[None]:
    """FFmpeg's errors as ours; those of the system stay OSErrors, which the writing of files explains."""
    import av

    try:
        yield
    except av.FFmpegError as error:
        if isinstance(error, OSError):
            raise
        what = f"this could not be encoded ({one_line(str(error.strerror)).lower()})"
        raise UserError(what, "choose another kind of file", one_line(str(path))) from None
    except av.codec.codec.UnknownCodecError as error:  # not every build of the library has every encoder
        what = f"the encoder {one_line(str(error))} is not there"
        raise UserError(what, "install PyAV from its wheel, or choose another kind of file", str(path)) from None
