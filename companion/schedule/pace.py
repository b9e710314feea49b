"""Tempo: how many seconds each written length takes, slow-down left out."""

from __future__ import annotations

from companion.schedule.timing import BEATS_PER_MINUTE_RANGE, DEFAULT_BEATS_PER_MINUTE, Timing
from companion.score.model import Bar, Tempo, Tune
from companion.score.performance import PlayedNote


def tempo_of(tune: Tune) -> Tempo:
    """The tune's own tempo; where it has none, the default beats a minute on the beat of its metre."""
    return tune.tempo or Tempo(tune.meter.beat_length, DEFAULT_BEATS_PER_MINUTE)


def times_slower(tune: Tune, timing: Timing) -> float:
    """How many times slower than its own tempo a tune runs in `timing`; below 1 where it runs faster."""
    own = tempo_of(tune).beats_per_minute
    return timing.slow_down * own / (timing.beats_per_minute or own)


def beats_heard(tune: Tune, timing: Timing) -> float | None:
    """Beats a minute as they sound, slow-down included; None where no ear follows them."""
    return followed((timing.beats_per_minute or tempo_of(tune).beats_per_minute) / timing.slow_down)


def followed(beats_per_minute: float) -> float | None:
    """`beats_per_minute`, or None for fewer or more than any metronome has: no ear follows those."""
    low, high = BEATS_PER_MINUTE_RANGE
    return beats_per_minute if low <= beats_per_minute <= high else None


class BarPace:
    """Seconds per whole note in each bar. A tempo that is asked for replaces the tune's first and scales later ones."""

    def __init__(self, tune: Tune, timing: Timing) -> None:
        own = tempo_of(tune)
        self._own = own
        asked = timing.beats_per_minute
        self._scale = 1.0 if asked is None else asked / own.beats_per_minute

    def seconds_per_whole(self, bar: Bar) -> float:
        """Seconds that a whole note lasts in `bar`."""
        return 1.0 / ((bar.tempo or self._own).whole_notes_per_second * self._scale)

    def note_s(self, played: PlayedNote) -> float:
        """Seconds that a melody note lasts by its written length."""
        return float(played.note.duration) * self.seconds_per_whole(played.bar)
