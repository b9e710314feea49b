"""Follows pitch by general libraries. It runs as a process of its own, in a Python that has them (see trackers.py).

Requests are lines of JSON on standard input: tracker, path (of a .npy file, mono float32), rate_hz, low_hz, high_hz.
The answers are lines of JSON: times_s, f0_hz (0 where there is no pitch), cpu_s. It imports nothing of ours.
"""

from __future__ import annotations

import importlib
import json
import sys
import time
from typing import Any

import numpy as np

PYIN_RATE_HZ, PYIN_FRAME, PYIN_HOP = 22_050, 1024, 128
PRAAT_STEP_S = 0.004
AUBIO_BUFFER_S, AUBIO_HOP_S = 0.023, 0.0058


def pyin(samples: Any, rate_hz: int, low_hz: float, high_hz: float) -> tuple[Any, Any]:
    """Probabilistic YIN (Mauch & Dixon 2014), by librosa, in frames of 46 ms."""
    librosa = importlib.import_module("librosa")
    if rate_hz != PYIN_RATE_HZ:
        samples = librosa.resample(samples, orig_sr=rate_hz, target_sr=PYIN_RATE_HZ, res_type="polyphase")
    f0_hz, voiced, _ = librosa.pyin(
        samples, fmin=low_hz, fmax=high_hz, sr=PYIN_RATE_HZ, frame_length=PYIN_FRAME, hop_length=PYIN_HOP
    )
    return np.arange(len(f0_hz)) * PYIN_HOP / PYIN_RATE_HZ, np.where(voiced, f0_hz, 0.0)


def praat(samples: Any, rate_hz: int, low_hz: float, high_hz: float) -> tuple[Any, Any]:
    """Autocorrelation (Boersma 1993), by praat-parselmouth, in frames of three periods of the lowest pitch."""
    parselmouth = importlib.import_module("parselmouth")
    sound = parselmouth.Sound(samples.astype(np.float64), rate_hz)
    pitch = sound.to_pitch_ac(time_step=PRAAT_STEP_S, pitch_floor=low_hz, pitch_ceiling=high_hz)
    return pitch.xs(), pitch.selected_array["frequency"]


def aubio(samples: Any, rate_hz: int, low_hz: float, high_hz: float) -> tuple[Any, Any]:
    """YIN by the spectrum (yinfft), by aubio, in buffers of 23 ms."""
    library = importlib.import_module("aubio")
    hop = max(16, round(AUBIO_HOP_S * rate_hz))
    size = 1 << max(8, round(np.log2(AUBIO_BUFFER_S * rate_hz)))
    tracker = library.pitch("yinfft", size, hop, rate_hz)
    tracker.set_unit("Hz")
    tracker.set_silence(-60)
    frames = len(samples) // hop
    f0_hz = np.array([float(tracker(samples[at * hop : (at + 1) * hop])[0]) for at in range(frames)])
    times_s = ((np.arange(frames) + 1) * hop - size / 2) / rate_hz  # the middle of what the buffer holds
    return times_s, np.where((f0_hz >= low_hz) & (f0_hz <= high_hz), f0_hz, 0.0)


TRACKERS = {"pyin": pyin, "praat": praat, "aubio": aubio}
MODULES = {"pyin": "librosa", "praat": "parselmouth", "aubio": "aubio"}


def installed() -> list[str]:
    """The trackers whose library is there, each tried once, so that what is compiled then is not timed later."""
    found = []
    second = np.sin(np.arange(16_000) * 0.1).astype(np.float32)
    for name, module in MODULES.items():
        try:
            importlib.import_module(module)
        except ImportError:
            continue
        TRACKERS[name](second, 16_000, 200.0, 500.0)
        found.append(name)
    return found


def main() -> None:
    """Answer until the input ends."""
    print(json.dumps(installed()), flush=True)
    for line in sys.stdin:
        asked = json.loads(line)
        samples = np.load(asked["path"])
        began_s = time.process_time()
        times_s, f0_hz = TRACKERS[asked["tracker"]](samples, asked["rate_hz"], asked["low_hz"], asked["high_hz"])
        cpu_s = time.process_time() - began_s
        answer = {"times_s": np.asarray(times_s).tolist(), "f0_hz": np.asarray(f0_hz).tolist(), "cpu_s": cpu_s}
        print(json.dumps(answer), flush=True)


if __name__ == "__main__":
    main()
