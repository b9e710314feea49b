"""What a take was asked to be: its tune, timed as it was then, or laid where its player came to it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from companion.midi.takes.heading import TuneIdentity, content_hash
from companion.midi.takes.reading import Take
from companion.schedule.as_heard import HeardPlace, schedule_as_heard
from companion.schedule.build import build_schedule
from companion.schedule.events import Schedule
from companion.schedule.lanes import Lane, finger_lanes
from companion.schedule.timing import Timing
from companion.score.model import Tune
from companion.score.performance import performance


@dataclass(frozen=True, slots=True)
class AskedTune:
    """A tune as it is written, its schedule, which may have the parts in another order, and the fingers' lanes.

    performed: the tune whose notes the schedule has: that one, in the order and the setting in which it was played.
    """

    tune: Tune
    schedule: Schedule
    lanes: tuple[Lane, ...]
    performed: Tune


def asked_of(take: Take, tunes: Iterable[Tune]) -> AskedTune | None:
    """What a take was a take of: the tune with the very same notes, timed as it was then; None where it is not there.

    Raises UserError where the take asks for more of it than there is.
    """
    identity = take.heading.tune
    if identity is None:
        return None
    tune = next((tune for tune in tunes if content_hash(tune) == identity.content), None)
    if tune is None:
        return None
    take.heading.stretch_in(tune)
    schedule = build_schedule(tune, take.heading.timing or Timing())
    return AskedTune(tune, schedule, finger_lanes(schedule), tune)


def of_another_tune(take: Take, tune: Tune) -> Take:
    """The take as one of a tune that nobody asked for: of how that was timed it tells nothing."""
    heading = take.heading
    other = replace(heading, tune=TuneIdentity.of(tune), timing=None, stretch=None, metronome=False)
    return replace(take, heading=other)


def in_order_of(asked: AskedTune, played: Tune, take: Take) -> AskedTune:
    """The asked tune with its schedule in the order of parts, and in the setting, in which it was played."""
    if performance(played) == asked.schedule.played:
        return asked
    schedule = build_schedule(played, take.heading.timing or Timing())
    return AskedTune(asked.tune, schedule, finger_lanes(schedule), played)


def as_heard(asked: AskedTune, places: Sequence[HeardPlace]) -> AskedTune:
    """The asked tune with its schedule in the time of the take, whose notes were heard at `places`."""
    schedule = schedule_as_heard(asked.schedule, places)
    return replace(asked, schedule=schedule, lanes=finger_lanes(schedule)) if schedule.events else asked


def slowed(schedule: Schedule, factor: float) -> Schedule:
    """A copy of the schedule in which every time is multiplied by `factor`, crisp gracenotes included. It has no
    bars, so that what is heard around a finding is not counted in."""
    return replace(
        schedule,
        events=tuple(replace(e, start_s=e.start_s * factor, end_s=e.end_s * factor) for e in schedule.events),
        states=tuple(replace(state, at_s=state.at_s * factor) for state in schedule.states),
        beats=tuple(replace(beat, at_s=beat.at_s * factor) for beat in schedule.beats),
        note_onsets_s=tuple(at_s * factor for at_s in schedule.note_onsets_s),
        duration_s=schedule.duration_s * factor,
        bars=(),
    )
