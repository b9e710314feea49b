"""Reports bars that are longer or shorter than their metre asks."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

from companion.score.form.problems import Problems
from companion.score.form.ticks import TICKS_PER_WHOLE, compare_lengths, ticks_to_fraction
from companion.score.form.written import WrittenBar
from companion.score.place import Place
from companion.score.problems import ProblemKind

# Where so many of a tune's bars last the same, and not what the metre asks, the field is wrong and not the bars.
_MOST = 0.6
_FEWEST = 2


def is_pick_up(written: Sequence[WrittenBar]) -> bool:
    """Whether a tune opens with a bar shorter than its metre."""
    return len(written) > 1 and is_short(written[0])


def is_short(bar: WrittenBar) -> bool:
    """Whether a bar is shorter than its metre."""
    return bar.ticks < full_ticks(bar)


def full_ticks(bar: WrittenBar) -> int:
    """The length in ticks that the metre asks of a bar, or of all bars of a long rest; 0 where any length will do."""
    return bar.meter.beats * TICKS_PER_WHOLE // bar.meter.unit * bar.counts_for


def check_lengths(
    written: Sequence[WrittenBar],
    lengths: Sequence[int],
    order: Sequence[int],
    unit: Fraction,
    place: Place,
    problems: Problems,
) -> None:
    """Report bars that are too long, or too short and completed by no other; or that the metre does not fit.

    lengths: of the bars, in ticks. order: indices of the bars as played. unit: the unit note length of the header.
    place: the tune's.
    """
    short: list[int] = []
    odd: list[int] = []
    meter, counted, full = None, 0, 0
    for i, bar in enumerate(written):
        if bar.meter is not meter or bar.counts_for != counted:
            meter, counted, full = bar.meter, bar.counts_for, full_ticks(bar)
        if not full or lengths[i] == full or bar.doubtful:
            continue
        if lengths[i] > full:
            odd.append(i)
        elif i or len(written) == 1:
            short.append(i)
    complete = _completed(written, lengths, order) if short else set()
    odd += [i for i in short if i not in complete]
    if odd and not _misfit(written, lengths, odd, unit, place, problems):
        for i in odd:
            _say_bar(written[i], lengths[i], problems)


def _say_bar(bar: WrittenBar, ticks: int, problems: Problems) -> None:
    if ticks > full_ticks(bar):
        what, remedy = "long", "shorten its notes or write the missing bar line"
        kind = ProblemKind.BAR_TOO_LONG
    else:
        what, remedy = "short", "lengthen its notes or write the missing ones"
        kind = ProblemKind.BAR_TOO_SHORT
    problems.add(kind, bar.place, f"the bar is too {what}: {_compared(bar, ticks)}", remedy)


def _misfit(
    written: Sequence[WrittenBar],
    lengths: Sequence[int],
    odd: Sequence[int],
    unit: Fraction,
    place: Place,
    problems: Problems,
) -> bool:
    """Whether most bars have one length that is not the metre's; then report it once, with the field that would fit."""
    measured = [i for i, bar in enumerate(written) if full_ticks(bar) and not bar.doubtful]
    (ticks, count), *_ = Counter(lengths[i] for i in odd).most_common(1)
    if count < max(_FEWEST, _MOST * len(measured)) or written[odd[0]].meter.bar_length is None:
        return False
    bar = next(written[i] for i in odd if lengths[i] == ticks)
    what = f"most bars last something else than their metre, all alike: {_compared(bar, ticks)}"
    problems.add(ProblemKind.METRE_MISFIT, place, what, _fitting_field(ticks, full_ticks(bar), unit))
    return True


def _fitting_field(ticks: int, full: int, unit: Fraction) -> str:
    """The L: field that makes bars of that length fit, where there is one; else the M: field."""
    ratio = Fraction(full, ticks)
    length = ticks_to_fraction(ticks)
    fitting = unit * ratio
    meter = f"M:{_as_metre(length)}"
    halved = ratio.numerator == 1 and ratio.denominator in (2, 4, 8)
    doubled = ratio.denominator == 1 and ratio.numerator in (2, 4, 8)
    if (halved or doubled) and fitting.numerator == 1:
        return f"write L:{fitting.numerator}/{fitting.denominator}, or {meter}"
    return f"write {meter}"


def _as_metre(length: Fraction) -> str:
    """A bar's length as a metre; what could be 3/4 or 6/8 becomes 3/4, since a length does not tell them apart."""
    below = max(4, length.denominator)
    return f"{length * below}/{below}"


def _compared(bar: WrittenBar, ticks: int) -> str:
    lengths = ticks_to_fraction(ticks), ticks_to_fraction(full_ticks(bar))
    lasts, asked = compare_lengths(*lengths, bar.meter.unit)
    return f"it lasts {lasts}, M:{bar.meter.text} asks for {asked}"


def _completed(written: Sequence[WrittenBar], lengths: Sequence[int], order: Sequence[int]) -> set[int]:
    """Short bars that are a whole one with the bar played before or after, over a repeat, a double bar or a jump.

    The tune may be played again, so its last bar and its pick-up count as neighbours.
    """
    complete: set[int] = set()
    for left, right in {*pairwise(order), (order[-1], order[0])}:
        if lengths[left] + lengths[right] == full_ticks(written[left]) and _parted(written, left, right):
            complete |= {left, right}
    return complete


def _parted(written: Sequence[WrittenBar], left: int, right: int) -> bool:
    """Whether more than a plain bar line stands between two bars that are played one after the other."""
    before, after = written[left], written[right]
    jumps = right != left + 1
    parted = before.double or before.closes or before.ends_ending
    return jumps or bool(parted or after.opens or after.ending or after.label is not None)
