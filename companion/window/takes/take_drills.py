"""From a thing to mend to what is practised: a crossing, or a stretch of the tune, slowed."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from companion.listen.model.findings import Finding
from companion.listen.verdict.verdict import Matter
from companion.schedule.crossing import NamedTransition
from companion.schedule.events import Schedule
from companion.schedule.spans import Span
from companion.window.play.play_moves import next_slow_down
from companion.window.takes.take_moves import hear_stretch
from companion.window.takes.take_state import Round, SoundedSide, TakeState
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


def drilled(state: TakeState, matter: Matter) -> TakeState:
    """Its drill's notes as they are asked, over and over, as much slower as it says.

    The first of its findings is looked at: none where it is a matter of the whole take.
    """
    if state.asked is None or state.review is None:
        return state
    schedule, drill = state.asked.schedule, matter.drill
    last = drill.last + 1
    end_s = schedule.note_onsets_s[last] if last < len(schedule.note_onsets_s) else schedule.duration_s
    stretch = Span(schedule.note_onsets_s[drill.first], end_s)
    chosen = next((rank for rank, each in enumerate(state.review.findings) if each in matter.findings), None)
    looked_at = replace(state, chosen=chosen, loop_slow_down=next_slow_down(drill.slow_down, 0))
    return hear_stretch(looked_at, SoundedSide.ASKED, stretch, Round.DRILL)
