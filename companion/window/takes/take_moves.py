"""What intents do to a take that is played back: steps, findings, what is heard of them. Pure: no pygame, no clock."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable
from dataclasses import replace

from companion.listen.model.strictness import Strictness
from companion.schedule.spans import Span
from companion.score.setting import Setting, with_further
from companion.window.core.actions import Action, Intent, Pick, Seek
from companion.window.core.display import following
from companion.window.play.play_moves import next_slow_down
from companion.window.takes.review import Review
from companion.window.takes.take_state import Lighting, Round, SoundedSide, TakeState

BEFORE_S = 1.0
AFTER_S = 1.2
"""What is heard around a finding: so much before it and after its end, in seconds of what sounds at full speed."""

NO_TUNE = "its tune is not here, or has changed since: open that tune with O, then the take again"
NOTHING_ASKED = "in free play nothing is asked, so nothing is judged: play along with a tune"
NOT_YET = "still listening to the take: ask again in a moment"
NO_SETTING = "no setting of your own was heard here"
SETTING_SAID = "from now on this tune is asked as you play it; the same key takes it back"
SETTING_TAKEN_BACK = "from now on this tune is asked as it is written"
NOTHING_FOUND = "nothing to mend; A listens more strictly"
NOTHING_AT_ALL = "nothing to mend, even to the strictest ear"


def update_take(state: TakeState, intent: Intent, position_s: float) -> TakeState:
    """The state after an intent that came while the take stood at `position_s`."""
    now = replace(state, position_s=position_s, notice="")
    match intent:
        case Seek(time_s) if now.sounding is SoundedSide.TAKE:
            return _freely(replace(now, position_s=min(max(time_s, now.begin_s), now.take.end_s)))
        case Pick(rank):
            return mark(now, rank)
        case _:
            change = _CHANGES.get(intent) if isinstance(intent, Action) else None
            return change(now) if change else now


def _step(state: TakeState, movements: int) -> TakeState:
    if state.sounding is SoundedSide.ASKED:
        return _back_to_take(state)
    index = bisect_right(state.moments, state.position_s, key=lambda each: each.at_s) - 1 + movements
    at_s = state.moments[min(index, len(state.moments) - 1)].at_s if index >= 0 and state.moments else state.begin_s
    return _freely(replace(state, playing=False, position_s=max(at_s, state.begin_s)))


def _freely(state: TakeState) -> TakeState:
    """The take itself, and not one stretch of it over and over."""
    return replace(state, sounding=SoundedSide.TAKE, loop=None, round=Round.ONE)


def _back_to_take(state: TakeState) -> TakeState:
    """From what was asked to the take: to the finding that is looked at, else to its beginning."""
    if state.chosen is not None:
        return choose_finding(state, state.chosen)
    if state.matter is not None:
        return mark(state, state.marked)
    return _freely(replace(state, playing=False, position_s=state.begin_s))


def mark(state: TakeState, rank: int) -> TakeState:
    """Look at a thing to mend, by its rank: the take stands where it was heard first. Ranks beyond the first and the
    last are those. Where there is none it says why.
    """
    matters = state.review.matters if state.review else ()
    if not matters:
        return replace(state, notice=why_none(state))
    rank = min(max(rank, 0), len(matters) - 1)
    marked = replace(state, marked=rank, lighting=Lighting.MATTER, chosen=None, playing=False)
    return _freely(replace(marked, position_s=_first_s(marked)))


def _first_s(state: TakeState) -> float:
    """When the marked thing to mend was heard first."""
    findings = state.review.findings if state.review else ()
    at_s = min((findings[rank].at_s for rank in state.lit), default=state.begin_s)
    return min(max(at_s, state.begin_s), state.take.end_s)


def choose_finding(state: TakeState, rank: int) -> TakeState:
    """Look at a finding: the take stands where it was heard. Ranks beyond the first and the last are those.

    Where there is none it says why.
    """
    findings = state.review.findings if state.review else ()
    if not findings:
        return replace(state, notice=why_none(state))
    rank = min(max(rank, 0), len(findings) - 1)
    state = _showing(state, rank)
    return _freely(replace(state, playing=False, chosen=rank, position_s=min(findings[rank].at_s, state.take.end_s)))


def _showing(state: TakeState, rank: int) -> TakeState:
    """Mark the thing to mend to which a finding belongs; all are shown where it belongs to none."""
    if rank in state.lit or state.review is None:
        return state
    own = next((matter for matter, each in enumerate(state.review.headlines) if rank in each.places), None)
    return replace(state, lighting=Lighting.ALL) if own is None else replace(state, marked=own)


def why_none(state: TakeState) -> str:
    """Why there is no finding to look at, and what to do."""
    if state.asked is None:
        return NO_TUNE if state.take.heading.tune else NOTHING_ASKED
    if state.review is None:
        return NOT_YET
    if state.review.refusal:
        return state.review.refusal
    return NOTHING_AT_ALL if state.strictness is Strictness.HARD else NOTHING_FOUND


def _next_finding(state: TakeState, steps: int) -> TakeState:
    """The next one of those that are lit, or the one before; from none, the first that comes, or the last that was."""
    lit, findings = state.lit, state.review.findings if state.review else ()
    if not lit:
        return choose_finding(state, 0)
    if state.chosen in lit:
        place = lit.index(state.chosen) + steps
    else:
        passed = bisect_right(lit, _stands_s(state), key=lambda rank: findings[rank].at_s)
        place = passed if steps > 0 else passed - 1
    return choose_finding(state, lit[min(max(place, 0), len(lit) - 1)])


def _stands_s(state: TakeState) -> float:
    """Where the take itself stands: at its beginning while it sounds as asked."""
    return state.position_s if state.sounding is SoundedSide.TAKE else state.begin_s


def _nearest_finding(state: TakeState) -> TakeState:
    """The finding that is looked at, else the nearest one of those that are marked."""
    if state.chosen is not None or not state.lit or state.review is None:
        return state
    stands_s, findings = _stands_s(state), state.review.findings
    return replace(state, chosen=min(state.lit, key=lambda rank: abs(findings[rank].at_s - stands_s)))


def hear(state: TakeState, sounding: SoundedSide) -> TakeState:
    """Hear what lies around a finding over and over: as it was played, or the same notes as they were asked.

    That is the one that is looked at, else the nearest one; where there is none it says why.
    """
    state = _nearest_finding(state)
    finding = state.finding
    if finding is None or state.asked is None:
        return replace(state, notice=why_none(state))
    if sounding is SoundedSide.TAKE:
        first_s, last_s = state.begin_s, state.take.end_s
        at_s, end_s = finding.at_s, finding.at_s + (finding.ms or 0.0) / 1000.0
    else:
        first_s, last_s = 0.0, state.asked.schedule.duration_s
        at_s = end_s = state.asked.schedule.note_onsets_s[finding.played]
    return hear_stretch(state, sounding, Span(max(first_s, at_s - BEFORE_S), min(last_s, end_s + AFTER_S)))


def hear_stretch(state: TakeState, sounding: SoundedSide, stretch: Span, kind: Round = Round.ONE) -> TakeState:
    """Hear a stretch of the take, or of the tune as it was asked, over and over."""
    return replace(state, sounding=sounding, loop=stretch, round=kind, position_s=stretch.start_s, playing=True)


def hear_in_turn(state: TakeState, sounding: SoundedSide) -> TakeState:
    """Hear one side of what lies around a finding once, after which the other side has its turn."""
    heard = hear(state, sounding)
    return heard if heard.finding is None or heard.asked is None else replace(heard, round=Round.IN_TURN)


def next_turn(state: TakeState) -> TakeState:
    """The other side's turn."""
    ours = state.sounding is SoundedSide.TAKE
    return hear_in_turn(state, SoundedSide.ASKED if ours else SoundedSide.TAKE)


def judged(state: TakeState, review: Review) -> TakeState:
    """The state once the take has been judged: the first thing to mend is marked, and unless the take runs, it stands
    where that was heard first."""
    new = replace(state, review=review, chosen=None, marked=0, asked=review.asked or state.asked)
    if new.matter is None or state.playing or state.loop:
        return new
    return replace(new, position_s=_first_s(new))


def _other_lighting(state: TakeState) -> TakeState:
    """All that was found alike, or the marked thing to mend."""
    if state.lighting is Lighting.ALL and state.review and state.review.matters:
        return mark(state, state.marked)
    if not state.lit:
        return replace(state, notice=why_none(state))
    return replace(state, lighting=Lighting.ALL)


def _slow_down(state: TakeState, steps: int) -> TakeState:
    slow_down = next_slow_down(state.slow_down, steps)
    return replace(state, loop_slow_down=slow_down) if state.loop else replace(state, take_slow_down=slow_down)


def _leave_loop(state: TakeState) -> TakeState:
    return _back_to_take(state) if state.loop else state


def _say_setting(state: TakeState) -> TakeState:
    """Say that what is played otherwise is one's own setting: where a finding of it is looked at, what that tells, else
    all of it. Where nothing is, take back what was said.
    """
    found = chosen_changes(state)
    if not found and not state.setting:
        return replace(state, notice=why_none(state) if state.review is None else NO_SETTING)
    setting = with_further(state.setting, found) if found else ()
    notice = SETTING_SAID if found else SETTING_TAKEN_BACK
    return replace(_freely(state), setting=setting, review=None, chosen=None, notice=notice)


def chosen_changes(state: TakeState) -> Setting:
    """What is played otherwise at the finding that is looked at, and in the same way elsewhere; all such changes where
    that is none of them."""
    found = state.review.setting if state.review else ()
    looked_at = state.finding
    own = next((each for each in found if looked_at and each.rank == looked_at.note), None)
    return found if own is None else tuple(each for each in found if each[1:] == own[1:])


_CHANGES: dict[Action, Callable[[TakeState], TakeState]] = {
    Action.PLAY: lambda state: replace(state, playing=not state.playing),
    Action.BACK: lambda state: _step(state, -1),
    Action.ON: lambda state: _step(state, 1),
    Action.START: lambda state: _freely(replace(state, position_s=state.begin_s)),
    Action.SLOWER: lambda state: _slow_down(state, 1),
    Action.FASTER: lambda state: _slow_down(state, -1),
    Action.FINDING_ON: lambda state: _next_finding(state, 1),
    Action.FINDING_BACK: lambda state: _next_finding(state, -1),
    Action.HEAR_MINE: lambda state: hear(state, SoundedSide.TAKE),
    Action.HEAR_RIGHT: lambda state: hear(state, SoundedSide.ASKED),
    Action.HEAR_IN_TURN: lambda state: hear_in_turn(state, SoundedSide.TAKE),
    Action.TEMPO_UP: lambda state: mark(state, state.marked - 1),
    Action.TEMPO_DOWN: lambda state: mark(state, state.marked + 1),
    Action.ALL_PLACES: _other_lighting,
    Action.CHOOSE: lambda state: replace(state, notice=why_none(state)),
    Action.LEAVE: _leave_loop,
    Action.OWN_SETTING: _say_setting,
    Action.VERDICT: lambda state: replace(state, notice=why_none(state)),
    Action.STRICTNESS: lambda state: replace(
        state, strictness=following(tuple(Strictness), state.strictness), review=None, chosen=None
    ),
}
