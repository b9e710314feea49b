"""The one place that calls fluidsynth's library (libfluidsynth 2 or 3), to render offline: it opens no device."""

from __future__ import annotations

import ctypes
import ctypes.util
import glob
from types import TracebackType

import numpy as np

from tests.hearing.recording import RATE_HZ, Samples
from tests.referees import require_file

BLOCK_FRAMES = 64
"""Fluidsynth's own block: whatever is asked for begins with the next one."""

SOUND_FONT = "/usr/share/sounds/sf2/FluidR3_GM.sf2"
GAIN = 0.5
BEND_SEMITONES = 12
BEND_CENTRE = 8192


class FluidSynth:
    """A synthesizer with a General MIDI sound font, one of its programs on each channel, no reverb and no chorus."""

    def __init__(self, *programs: int) -> None:
        path = require_file(SOUND_FONT)
        self._library = _library()
        self._settings = ctypes.c_void_p(self._library.new_fluid_settings())
        for name, number in ((b"synth.sample-rate", float(RATE_HZ)), (b"synth.gain", GAIN)):
            self._library.fluid_settings_setnum(self._settings, name, ctypes.c_double(number))
        for name, whole in (
            (b"synth.reverb.active", 0),
            (b"synth.chorus.active", 0),
            (b"synth.dynamic-sample-loading", 1),
        ):
            self._library.fluid_settings_setint(self._settings, name, whole)
        self._synth = ctypes.c_void_p(self._library.new_fluid_synth(self._settings))
        if self._library.fluid_synth_sfload(self._synth, str(path).encode(), 1) < 0:
            raise OSError(f"fluidsynth cannot read {path}")
        for channel, program in enumerate(programs):
            self._library.fluid_synth_program_change(self._synth, channel, program)
            self._library.fluid_synth_pitch_wheel_sens(self._synth, channel, BEND_SEMITONES)

    def __enter__(self) -> FluidSynth:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._library.delete_fluid_synth(self._synth)
        self._library.delete_fluid_settings(self._settings)

    def note_on(self, key: int, velocity: int = 100, channel: int = 0) -> None:
        """Begin a note."""
        self._library.fluid_synth_noteon(self._synth, channel, key, velocity)

    def note_off(self, key: int, channel: int = 0) -> None:
        """End a note."""
        self._library.fluid_synth_noteoff(self._synth, channel, key)

    def bend(self, cents: float, channel: int = 0) -> None:
        """Bend all notes by up to twelve semitones, to a sixth of a cent."""
        value = BEND_CENTRE + round(cents / (100.0 * BEND_SEMITONES) * BEND_CENTRE)
        self._library.fluid_synth_pitch_bend(self._synth, channel, min(max(value, 0), 2 * BEND_CENTRE - 1))

    def render(self, frames: int) -> Samples:
        """The next frames, mono: whole blocks of 64 alone keep what is asked for in time."""
        left, right = np.empty(frames, np.float32), np.empty(frames, np.float32)
        pointers = (ctypes.c_void_p(each.ctypes.data) for each in (left, right))
        one, other = pointers
        if frames and self._library.fluid_synth_write_float(self._synth, frames, one, 0, 1, other, 0, 1) != 0:
            raise OSError("fluidsynth rendered nothing")
        return (left + right) * np.float32(0.5)


def _library() -> ctypes.CDLL:
    found = ctypes.util.find_library("fluidsynth")
    path = found or next(iter(sorted(glob.glob("/usr/lib/*/libfluidsynth.so.*"))), None)
    if path is None:
        require_file("/usr/lib/*/libfluidsynth.so.*")  # skips, or fails where all referees must be
        raise OSError("libfluidsynth is not installed")
    library = ctypes.CDLL(path)
    for maker in (library.new_fluid_settings, library.new_fluid_synth):
        maker.restype = ctypes.c_void_p
    return library
