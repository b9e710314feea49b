"""What is said to a learner of a step: what it wants, how it is heard, what counts as done, what is next and why."""

from __future__ import annotations

from companion.lesson.model.steps import Pace, Step, StepKind
from companion.lesson.steps.practice import Practice, StepStanding
from companion.listen.model.words import bars_words, count_words, times_words
from fingering.crossings.teaching import teach
from fingering.crossings.transition import Transition

_WANTS = {
    StepKind.EMBELLISHMENT: "Play the {what} by itself, over and over.",
    StepKind.IN_PLACE: "Play the {what} in its place, with the notes beside it in {bars}.",
    StepKind.CROSSING: "Play {what} back and forth: {order}.",
    StepKind.DIFFERENCE: "Play {what}, {bars}, out of time.",
    StepKind.PHRASE_FREELY: "Play {what}, {bars}, out of time: long notes long, short notes short.",
    StepKind.PHRASE: "Play {what}, {bars}, with the metronome.",
    StepKind.PAIR: "Play {what}, {bars}, without a stop between: question and answer.",
    StepKind.LINE: "Play the {what}, {bars}, without a stop.",
    StepKind.PART: "Play {what}, {bars}.",
    StepKind.JOINED: "Play {what}, {bars}: mind how one leads into the next.",
    StepKind.WHOLE: "Play the whole tune.",
    StepKind.BY_HEART: "Play the whole tune by heart: only the pulse is left.",
}


def wants_words(step: Step) -> str:
    """What a step wants, as one sentence."""
    bars = bars_words(range(step.bars[0], step.bars[1] + 1))
    return _WANTS[step.kind].format(what=step.what, bars=bars, order=_order(step))


def _order(step: Step) -> str:
    """The order of fingers of a change of note."""
    if step.kind is not StepKind.CROSSING or step.skill is None:
        return ""
    (before,), after = step.skill.notes
    return teach(Transition.between(before, after)).sentence


def heard_words(step: Step) -> str:
    """What a step is listened to for, as one sentence."""
    if step.kind.in_time:
        return "Heard are notes, gracenotes, the change from note to note, and the time."
    return "Heard are notes, gracenotes and the change from note to note; the time is your own."


def done_words(step: Step) -> str:
    """What counts as done: "three times in a row without a fault, at 61 beats a minute"."""
    pace = pace_words(step.goal.pace, in_time=step.kind.in_time)
    return f"{_in_a_row(step.goal.in_a_row)} {_faultless(step)}, {pace}"


def pace_words(pace: Pace, *, in_time: bool) -> str:
    """A pace in words: "at 61 beats a minute", "at speed", "1.5 times slower"; in_time: whether a tempo is kept."""
    slower = f"{pace.slow_down:g} times slower"
    if not in_time:
        return "at speed" if pace.slow_down == 1.0 else slower
    tempo = f"at {pace.beats_per_minute:g} beats a minute"
    return tempo if pace.slow_down == 1.0 else f"{tempo}, {slower}"


def next_words(practice: Practice) -> str:
    """What a learner is to do next in a step and why, as one sentence: "Twice in a row without a fault; then a little
    faster."."""
    if practice.standing is StepStanding.DONE:
        return f"That was {_in_a_row(practice.step.goal.in_a_row)} {_faultless(practice.step)}: done."
    if practice.standing is StepStanding.STUCK:
        return "That is too much as it stands."
    left = practice.needed - practice.in_a_row
    times = _in_a_row(left) if not practice.in_a_row else "once more" if left == 1 else f"{times_words(left)} more"
    then = ", and it is done." if practice.at_goal else "; then a little faster."
    return _capital(f"{_before(practice)}{times} {_faultless(practice.step)}{then}")


def _before(practice: Practice) -> str:
    """What has just happened: the tempo fell, or something was amiss."""
    if not practice.last:
        return ""
    if practice.misses == 0:
        return "slower now, since it slipped twice: "
    return f"mind {bars_words([practice.last[0].bar])}: " if practice.step.kind.is_of_the_tune else "again: "


def smaller_words(step: Step, smaller: Step) -> str:
    """Why something smaller comes before a step goes on."""
    return _capital(f"{_named(step)} is too much as it stands: first {_named(smaller)}, then this again.")


def aside_words(step: Step) -> str:
    """What is said of a step that is left for another time."""
    return f"Enough of {_named(step)} for today: it comes again next time."


def _named(step: Step) -> str:
    """A step within a sentence: "the taorluath on low A", "phrase A", "E and C, back and forth"."""
    match step.kind:
        case StepKind.EMBELLISHMENT | StepKind.IN_PLACE | StepKind.LINE:
            return f"the {step.what}"
        case StepKind.CROSSING:
            return f"{step.what}, back and forth"
        case _:
            return step.what


def _faultless(step: Step) -> str:
    slips = step.goal.slips
    return "without a fault" if not slips else f"with {count_words(slips)} slip{'s' if slips > 1 else ''} at most"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _in_a_row(count: int) -> str:
    return "once" if count == 1 else f"{times_words(count)} in a row"
