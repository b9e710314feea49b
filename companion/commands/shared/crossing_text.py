"""What `eightholes cross` prints for people: crossings as text."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from companion.commands.shared.crossing_json import bars, in_order, labels
from companion.schedule.events import EventKind, Schedule
from companion.schedule.transitions import TuneTransition, bars_in_words
from companion.schedule.tune_use import NotePair, TuneUse, drill_first, use_in_our_tunes
from companion.score.model import Tune
from fingering.acoustics.sounding import Sounding
from fingering.crossings.analysis import Crossing
from fingering.crossings.hardness import hardness
from fingering.crossings.noise import NoiseKind
from fingering.crossings.passing import Passing, PassingKind
from fingering.crossings.teaching import teach
from fingering.crossings.telling import CROSSING_NOISE, cause, noise_phrases
from fingering.crossings.timing import AUDIBLE_MS, OWN_NOTE_MS, HeldState
from fingering.notes import Note, Tuning

COMPUTED = "All pitches are computed for a reference practice chanter, not measured: yours will differ a little."
MANY_STATES = 24  # above this only the states that sound foreign are listed
PLACES_SHOWN = 4
_SIGNS = {NoiseKind.LOWER: "v", NoiseKind.BETWEEN: "o", NoiseKind.VEIL: "~"}
_SIGNS_MEAN = "v a lower note, o one in between, ~ a veil without a clear pitch, - clean."
_DRILL_ORDER = "What to drill first: the hardest, and of those as hard what our tunes ask for most."


def pair_text(start: Note, end: Note, crossing: Crossing, late: Sequence[HeldState] | None, spread_ms: float) -> str:
    """A crossing in words: lines of text."""
    rows = [
        f"{start.label} to {end.label}",
        f"  up          {', '.join(labels(crossing.transition.lifts)) or '-'}",
        f"  down        {', '.join(labels(crossing.transition.drops)) or '-'}",
        f"  teach       {crossing.lesson.sentence}",
        f"  orders      {crossing.order_count}, of them {crossing.clean_order_count} clean",
        *_noise_rows(crossing),
        *_hard_rows(crossing),
        *_use_rows((start, end)),
        f"  difficulty  {_percent(crossing.difficulty)}: {_meaning(spread_ms)}",
        "",
        *_state_rows(crossing),
        *(() if late is None else _late_rows(start, end, late)),
        "",
        COMPUTED,
    ]
    return "\n".join(rows)


def _noise_rows(crossing: Crossing) -> list[str]:
    """What is usually heard in it, and who makes that."""
    noise = crossing.hardness.noise
    heard = noise_phrases(crossing.transition, noise)[0]
    why = f", usually when {cause(crossing.transition, noise)}" if noise else ""
    return [f"  noise       {heard}{why}"]


def _hard_rows(crossing: Crossing) -> list[str]:
    """How hard it is, a line for each reason."""
    rows = [f"  hard        {crossing.hardness.level.label}"]
    rows.extend(f"              {demand.words}: {demand.why}" for demand in crossing.hardness.demands)
    return rows


def _use_rows(pair: NotePair) -> list[str]:
    words = use_in_our_tunes().words(pair)
    return [f"  in tunes    {words}"] if words else []


def _meaning(spread_ms: float) -> str:
    return (
        f"the chance of hearing a crossing noise ({AUDIBLE_MS:g} ms or more) when all fingers aim at one moment "
        f"and each misses it with a spread of {spread_ms:g} ms"
    )


def _state_rows(crossing: Crossing) -> list[str]:
    shown = in_order(crossing)
    rows = ["  holes       sounds    cents"]
    if len(shown) > MANY_STATES:
        chosen = tuple(each for each in shown if each.kind is not PassingKind.CLEAN)
        rows.append(f"  ({len(shown) - len(chosen)} clean states on the way are left out)")
        shown = chosen
    rows.extend(
        f"  {each.state!s:<10}  {each.sounding.note.label:<7}  {_cents(each.sounding)}  {_what(each)}" for each in shown
    )
    return rows


def _cents(sounding: Sounding) -> str:
    return f"{round(sounding.off_note_cents):+5d} ±{round(sounding.uncertainty_cents):<2d}"


def _what(passing: Passing) -> str:
    kind = "crossing noise" if passing.kind is PassingKind.FOREIGN else passing.kind.value
    return f"{kind} ({passing.sort.value})" if passing.sort else kind


def _late_rows(start: Note, end: Note, late: Sequence[HeldState]) -> list[str]:
    rows = ["", "  with the fingers held back as asked:", f"    {start.label}"]
    for each in late:
        rows.append(f"    {each.lasts_ms:g} ms of {each.state}: {each.sounding.note.label}{_verdict(each)}")
    rows.append(f"    {end.label}")
    return rows


def _verdict(each: HeldState) -> str:
    if each.kind is not PassingKind.FOREIGN:
        return ", clean"
    if each.lasts_ms < AUDIBLE_MS:
        return ", crossing noise, too short to hear"
    return ", crossing noise, a blemish" if each.lasts_ms < OWN_NOTE_MS else ", crossing noise, a note of its own"


def _percent(chance: float) -> str:
    return f"{100.0 * chance:.0f} %"


def map_text(pairs: Mapping[NotePair, Crossing]) -> str:
    """The map of every change of note as text, followed by the list of what to drill first."""
    head = "from \\ to " + "".join(f"{note.label:<9}" for note in Note)
    grid = [
        f"{start.label:<10}" + "".join(f"{_cell(pairs[start, end]) if start is not end else '':<9}" for end in Note)
        for start in Note
    ]
    use = use_in_our_tunes()
    order = drill_first({pair: crossing.hardness for pair, crossing in pairs.items()}, use)
    rows = [_drill_row(pair, pairs[pair], use) for pair in order if pairs[pair].order_count > 1]
    alone = f"The other {len(pairs) - len(rows)} changes of note move one finger only."
    meaning = f"{_capital(CROSSING_NOISE)}. {_SIGNS_MEAN}"
    lines = (meaning, "", *(line.rstrip() for line in (head, *grid)), "", _DRILL_ORDER, "", *rows, alone, "", COMPUTED)
    return "\n".join(lines)


def _cell(crossing: Crossing) -> str:
    noise = crossing.hardness.noise
    return f"{_SIGNS[noise.kind]} {noise.note.label}" if noise else "-"


def _drill_row(pair: NotePair, crossing: Crossing, use: TuneUse) -> str:
    start, end = pair
    heard = noise_phrases(crossing.transition, crossing.hardness.noise)[0]
    return (
        f"{crossing.hardness.level.label:<9}  {use.times.get(pair, 0):>3} x  "
        f"{f'{start.label} to {end.label}':<17}  {heard:<38}  {crossing.lesson.sentence}"
    )


def _capital(text: str) -> str:
    return text[0].upper() + text[1:]


def tune_text(tune: Tune, schedule: Schedule, found: Sequence[TuneTransition], tuning: Tuning) -> str:
    """A tune's transitions in words; those that cannot sound a crossing noise are only counted."""
    risky = [each for each in found if each.difficulty > 0.0]
    rows = [_tune_row(schedule, each, tuning) for each in risky]
    safe = sum(each.count for each in found) - sum(each.count for each in risky)
    return "\n".join(
        (
            f"{tune.title}: what to drill, worst first",
            f"{_capital(CROSSING_NOISE)}.",
            "First comes what is likeliest to sound one, and comes often. Leading with the right finger avoids it.",
            "",
            *rows,
            f"{safe} other movements cannot sound a crossing noise.",
            "",
            COMPUTED,
        )
    )


def _tune_row(schedule: Schedule, each: TuneTransition, tuning: Tuning) -> str:
    noise = hardness(each.transition, tuning).noise
    places = bars_in_words(bars(schedule, each), PLACES_SHOWN)
    return (
        f"{each.count:>3} x  {_ends_text(schedule, each):<30}  {noise_phrases(each.transition, noise)[-1]:<7}  "
        f"{places}: {teach(each.transition, tuning).sentence}"
    )


def _ends_text(schedule: Schedule, each: TuneTransition) -> str:
    """The two ends of a transition in words: "E to high G gracenote"."""
    first = each.events[0]
    ends = ((each.start, schedule.events[first - 1]), (each.end, schedule.events[first]))
    return " to ".join(note.label + (" gracenote" if event.kind is EventKind.GRACENOTE else "") for note, event in ends)
