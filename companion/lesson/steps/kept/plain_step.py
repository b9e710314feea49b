"""A step as a few plain values that a teacher reads and writes, and back; matched to the tune by its bars.

kind and bars say which step it is, `play` which movement it is of; tempo and slow how it begins, goal_tempo and
goal_slow where it ends, in_a_row how often it must go without a fault there, or with so many `slips`. What is not given
is as usual for its kind.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from companion.files.kept_json import Table, Unfit
from companion.files.lines import one_line, quoted
from companion.lesson.model.known import ONTO, Skill, SkillKind
from companion.lesson.model.steps import Goal, Pace, Step, StepKind
from companion.lesson.steps.make import asked_at, drill_step, in_place_step, skill_words, turns_step
from companion.lesson.steps.needs import Needs
from companion.lesson.steps.turns import bar_of_number, once_through, with_repeats
from companion.listen.model.words import bars_words
from companion.schedule.timing import BEATS_PER_MINUTE_RANGE, SLOWEST
from companion.score.model import Tune
from fingering.errors import UserError
from fingering.notes import Note

MOST_IN_A_ROW = 20
MOST_SLIPS = 1000
_LARGEST_NUMBER = 1_000_000
_KINDS = {kind.value: kind for kind in StepKind}
_MOST_GRACENOTES = 32


class NotInTune(Exception):
    """Raised where a step is of bars or movements that the tune does not have; its words say what."""


def to_plain(step: Step) -> dict[str, Any]:
    """A step as it stands in a file, in the order in which it is read best."""
    play = {} if step.skill is None else {"play": step.skill.key}
    return {
        "kind": step.kind.value,
        "what": step.what,
        "bars": list(step.bars),
        **play,
        "tempo": _number(step.beats_per_minute),
        "slow": _number(step.slow_down),
        "goal_tempo": _number(step.goal.beats_per_minute),
        "goal_slow": _number(step.goal.slow_down),
        "in_a_row": step.goal.in_a_row,
        "slips": step.goal.slips,
    }


def _number(value: float) -> int | float:
    return int(value) if value == int(value) else value


def from_plain(plain: Table, tune: Tune, needs: Needs) -> Step:
    """The step that plain values stand for in a tune. Raises Unfit for a value that is none, NotInTune."""
    kind = plain.one_of("kind", _KINDS)
    step = _of_kind(plain, kind, tune, needs)
    pace, goal = _pace(plain, step), _goal(plain, step.goal)
    if pace.speed > goal.pace.speed:
        raise Unfit("'tempo' or 'slow' begins faster than the goal")
    step = asked_at(step, pace, goal)
    return replace(step, what=one_line(plain.text("what"))) if plain.has("what") else step


def _of_kind(plain: Table, kind: StepKind, tune: Tune, needs: Needs) -> Step:
    match kind:
        case StepKind.EMBELLISHMENT | StepKind.CROSSING:
            return drill_step(tune, needs, _skill(plain, kind))
        case StepKind.IN_PLACE:
            return _in_place(plain, tune, needs)
        case StepKind.WHOLE | StepKind.BY_HEART:
            return turns_step(tune, kind, range(len(tune.order)), f"the {kind.value}")
        case _:
            return _stretch(plain, kind, tune)


def _in_place(plain: Table, tune: Tune, needs: Needs) -> Step:
    skill = _skill(plain, StepKind.IN_PLACE)
    first, last = _bars(plain, tune)
    numbers = range(tune.bars[first].number, tune.bars[last].number + 1)
    places = (place for place in needs.places.get(skill, ()) if needs.schedule.played[place].bar.number in numbers)
    place = next(places, None)
    step = None if place is None else in_place_step(tune, needs, skill, range(place, place + 1))
    if step is None:
        raise NotInTune(f"{bars_words(numbers)} has no {skill_words(needs, skill)}")
    return step


def _stretch(plain: Table, kind: StepKind, tune: Tune) -> Step:
    first, last = _bars(plain, tune)
    turns = (with_repeats if kind in (StepKind.PART, StepKind.JOINED) else once_through)(tune, first, last)
    words = bars_words(range(tune.bars[first].number, tune.bars[last].number + 1))
    if turns is None:
        raise NotInTune(f"{words} are not played one after the other")
    try:
        return turns_step(tune, kind, turns, words)
    except ValueError:
        raise NotInTune(f"{words} has no note") from None


def _bars(plain: Table, tune: Tune) -> tuple[int, int]:
    """The indices of the first and last bar. Raises Unfit, NotInTune."""
    numbers = plain.wholes("bars", 2, 0, _LARGEST_NUMBER)
    if numbers[0] > numbers[1]:
        raise Unfit("'bars' has the last one first")
    found = [bar_of_number(tune, number) for number in numbers]
    if found[0] is None or found[1] is None:
        missing = numbers[0] if found[0] is None else numbers[1]
        raise NotInTune(f"the tune has no bar {missing}")
    return found[0], found[1]


def _skill(plain: Table, kind: StepKind) -> Skill:
    """The movement that `play` names: gracenotes and the note they lead onto, "gcd>c", or two notes, "c>e"."""
    text = plain.text("play")
    before, onto, after = text.partition(ONTO)
    change = kind is StepKind.CROSSING
    most = 1 if change else _MOST_GRACENOTES
    if not onto or len(after) != 1 or not 1 <= len(before) <= most or (change and before == after):
        wanted = "two notes, as c>e" if change else "gracenotes and the note that they lead onto, as gcd>c"
        raise Unfit(f"'play' is {quoted(text)}, not {wanted}")
    try:
        for letter in (*before, after):
            Note.from_letter(letter)
    except UserError as error:
        raise Unfit(f"'play' is {quoted(text)}, and {one_line(error.what)}") from None
    return Skill(SkillKind.CHANGE if change else SkillKind.EMBELLISHMENT, text)


def _pace(plain: Table, usual: Step) -> Pace:
    tempo = plain.number("tempo", *BEATS_PER_MINUTE_RANGE) if plain.has("tempo") else usual.beats_per_minute
    return Pace(tempo, plain.number("slow", 1.0, SLOWEST) if plain.has("slow") else usual.slow_down)


def _goal(plain: Table, usual: Goal) -> Goal:
    tempo = plain.number("goal_tempo", *BEATS_PER_MINUTE_RANGE) if plain.has("goal_tempo") else usual.beats_per_minute
    slow = plain.number("goal_slow", 1.0, SLOWEST) if plain.has("goal_slow") else usual.slow_down
    in_a_row = plain.whole("in_a_row", 1, MOST_IN_A_ROW) if plain.has("in_a_row") else usual.in_a_row
    slips = plain.whole("slips", 0, MOST_SLIPS) if plain.has("slips") else usual.slips
    return Goal(in_a_row, tempo, slow, slips)
