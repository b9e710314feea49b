"""From a thing to mend to what is practised: a crossing, or a stretch of the tune, slowed."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from companion.listen.drills import Drill
from companion.listen.findings import Finding
from companion.schedule.crossing import NamedTransition
from companion.schedule.events import Schedule
from companion.schedule.spans import Span
from companion.window.play_state import SLOW_DOWNS
from companion.window.take_state import Sounding, TakeState, hear_stretch
from fingering.crossings.transition import Transition


def movement_of(schedule: Schedule, finding: Finding) -> NamedTransition | None:
    """The movement in which a crossing was heard, as the tune fingers it; None for any other finding."""
    detail = finding.crossing
    if detail is None:
        return None
    for old, new in pairwise(schedule.events):
        names = (old.note.letter, new.note.letter)
        if new.played == finding.played and names == (detail.before, detail.after) and old.state != new.state:
            return NamedTransition(Transition(old.state, new.state), old.note, new.note)
    return None


def drilled(state: TakeState, drill: Drill) -> TakeState:
    """The drill's notes as they are asked, over and over, as much slower as it says."""
    if state.asked is None:
        return state
    schedule = state.asked.schedule
    last = drill.last + 1
    end_s = schedule.note_onsets_s[last] if last < len(schedule.note_onsets_s) else schedule.duration_s
    stretch = Span(schedule.note_onsets_s[drill.first], end_s)
    slow_down = min(SLOW_DOWNS, key=lambda each: abs(each - drill.slow_down))
    return hear_stretch(replace(state, slow_down=slow_down), Sounding.ASKED, stretch)
