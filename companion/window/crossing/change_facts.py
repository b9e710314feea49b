"""Gathers what is told of each change of note: what flashes in it, by whom, how hard it is, how often it comes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from itertools import permutations

from companion.schedule.crossing import NamedTransition
from companion.schedule.tune_use import NotePair, drill_first, use_in_our_tunes
from companion.window.core.marks import Measure, Style
from companion.window.core.wording import capital
from fingering.crossings.hardness import Demand, Hard, Hardness, hardness
from fingering.crossings.teaching import teach
from fingering.crossings.telling import CROSSING_NOISE, cause, noise_phrases
from fingering.notes import Note, Tuning

PAIRS: tuple[NotePair, ...] = tuple(permutations(Note, 2))
MEANINGS = (  # from the fullest wording to the shortest
    f"{capital(CROSSING_NOISE)}. Computed, not measured.",
    f"{capital(CROSSING_NOISE)} (computed).",
    "Crossing noise: a note that flashes between two others (computed).",
)


@dataclass(frozen=True, slots=True)
class ChangeFacts:
    """A change of note in words. `phrases`: what is heard, from the fullest wording to the shortest.

    lesson, why_heard, use: sentences without their stop, why_heard "" where nothing flashes. times: how often our tunes
    ask for it.
    """

    named: NamedTransition
    hardness: Hardness
    phrases: tuple[str, ...]
    lesson: str
    why_heard: str
    use: str
    times: int

    @property
    def pair(self) -> NotePair:
        """Its two notes."""
        return self.named.start, self.named.end

    @property
    def demands(self) -> tuple[Demand, ...]:
        """What the hands find hard in it; what is heard is told by the phrases."""
        return tuple(demand for demand in self.hardness.demands if demand.hard is not Hard.NOISE)

    def headline(self, width: float, measure: Measure) -> str:
        """The fullest sentence about it that has room in large type; its two notes alone, where no other has."""
        sentences = (*(f"{self.named}: {phrase}" for phrase in self.phrases), str(self.named))
        return next((each for each in sentences if measure.width(each, Style.LARGE) <= width), sentences[-1])

    def in_brief(self, headline: str) -> tuple[str, str]:
        """Who makes the noise, or how to play it; and how hard it is, and how often tunes ask for it."""
        return _sentences(self._heard(headline) or self.lesson), _sentences(self.hardness.level.label, self.use)

    def told(self, headline: str) -> str:
        """Who makes the noise and how to play it clean, with what the headline had no room for."""
        return _sentences(self._heard(headline), self.lesson)

    def least(self, headline: str) -> str:
        """What the headline leaves out of what is heard, how hard it is, and how often tunes ask for it."""
        return _sentences(self._left_out(headline), self.hardness.level.label, self.use)

    def _heard(self, headline: str) -> str:
        """What the headline leaves out of what is heard, and who makes it; "" where nothing is left to say."""
        usually = f"usually when {self.why_heard}" if self.why_heard else ""
        return ", ".join(filter(None, (self._left_out(headline), usually)))

    def _left_out(self, headline: str) -> str:
        said = next((phrase for phrase in self.phrases if phrase in headline), "")
        full = self.phrases[0]
        if said and self.hardness.noise is None:
            return ""  # why it is clean, the lesson says
        return full[len(said) :].strip(", ") if full.startswith(said) else full

    @property
    def how_hard(self) -> str:
        """How hard it is for the hands, why, and how often tunes ask for it."""
        reasons, level = self.reasons_in_brief, self.hardness.level.label
        return _sentences(f"{level}: {reasons}" if reasons else level, self.use)

    @property
    def reasons_in_brief(self) -> str:
        """What the hands find hard, in one row; "" for nothing."""
        return ", ".join(demand.words for demand in self.demands)

    @property
    def reasons(self) -> tuple[str, ...]:
        """Each thing that the hands find hard, with why it is, as sentences."""
        return tuple(f"{capital(demand.words)}: {demand.why}." for demand in self.demands)


def _sentences(*parts: str) -> str:
    return " ".join(f"{capital(part)}." for part in parts if part)


@dataclass(frozen=True, slots=True, eq=False)
class Changes:
    """Every ordered pair of different notes, and the order in which to drill them."""

    by_pair: Mapping[NotePair, ChangeFacts]
    drill_order: tuple[NotePair, ...]


@cache
def changes_of_note(tuning: Tuning) -> Changes:
    """All changes of note. Kept, since they take some time to work out."""
    found = {pair: _facts(pair, tuning) for pair in PAIRS}
    return Changes(found, drill_first({pair: facts.hardness for pair, facts in found.items()}, use_in_our_tunes()))


def _facts(pair: NotePair, tuning: Tuning) -> ChangeFacts:
    named = NamedTransition.between(*pair)
    transition, use = named.transition, use_in_our_tunes()
    hard = hardness(transition, tuning)
    return ChangeFacts(
        named,
        hard,
        noise_phrases(transition, hard.noise),
        teach(transition, tuning).sentence,
        cause(transition, hard.noise) if hard.noise else "",
        use.words(pair),
        use.times.get(pair, 0),
    )
