"""Judges a recording: what could not be heard apart is never told as a fault."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from companion.hearing.heard import HeardNote, HeardSound, SoundEvidence, SoundTrouble
from companion.hearing.notes.cuts import sounding_on
from companion.hearing.notes.joining import TOUCHING_S
from companion.hearing.spectra import Floats
from companion.hearing.takes.again import FoundAgain
from companion.hearing.takes.echo_made import SURELY_LONG_MS, EchoMade
from companion.hearing.takes.events import events_of
from companion.hearing.takes.reading.counted import CountedEvidence
from companion.hearing.takes.reading.exchanged import exchanged_s, found_elsewhere, is_out_of_place, taken_back
from companion.hearing.takes.reading.kinder import SHORTEST_IN_ROOM_S, SoundCover, kinder_reading
from companion.hearing.takes.reading.octaves import NEIGHBOURS, SURE_NEIGHBOUR_NATS, NameDoubt, OctaveDoubt
from companion.hearing.takes.reading.own_echo import without_own_echoes
from companion.hearing.takes.reading.stops import (
    LEAST_STOP_IN_ROOM_NATS,
    LEAST_STOP_NATS,
    stops_weighed,
    with_the_last,
    without_lone,
    without_unheard_stops,
)
from companion.hearing.takes.reading.sure_short import sure_noises
from companion.hearing.takes.reading.tune_reading import ExpectedReader, ReadSpan, is_in_any, with_names_in_doubt
from companion.hearing.takes.times_known import OF_TIME, KnownTimes, moved_s
from companion.hearing.takes.unjudged import CROWDED, melody_alone, not_in_time, partly_covered, too_quick
from companion.hearing.takes.unnamed import UnnamedChanges
from companion.hearing.takes.weighing import LengthWeighing
from companion.hearing.takes.withholding import OF_MELODY, Withholding, changed_s
from companion.listen.judgement import Judgement, judge
from companion.listen.model.findings import Finding, FindingKind
from companion.listen.model.misheard import AS_PLAYED, Misheard
from companion.listen.model.strictness import Limits, Strictness
from companion.listen.model.terms import AT_SPEED, TakeTerms
from companion.listen.verdict.verdict import Share
from companion.score.model import Tune
from companion.score.setting import Setting
from fingering.errors import UserError

ROUNDS, READINGS = 3, 2

OVERSTATED = 0.6
"""The share of its nats that evidence counts where it overstates (`HeardSound.overstates`). On trial (seeds 1501 and
1502, an earlier hearing of rooms) the evidence against 2,300 gracenotes that were played was 42 nats at most, and 25
against 10 of them, in good rooms 6."""

MISHEARD_IN_ROOM = Misheard(0.15, SURELY_LONG_MS, 2.0, 6.0)
"""How far lengths and times are misheard in a room. On trial (eight seeds, seven sources in rooms of 0.4 s) gracenotes
of 25 to 60 ms seemed 2 ms longer in the middle, and what those of one embellishment strayed by was misheard by 0.04 to
0.16, as the standard deviation of its logarithm, in 18 of 21 takes. Of three notes that were told to be late, and are
not by MIDI, two are not with 6 ms more, and of those that were late none is lost."""

_WEIGHED_ONLY = frozenset(
    {
        FindingKind.MISSING_GRACENOTE,
        FindingKind.MISSING_NOTE,
        FindingKind.WRONG_GRACENOTE,
        FindingKind.WRONG_NOTE,
        FindingKind.LONG_GRACENOTE,
        FindingKind.UNEVEN,
    }
)
"""The findings that rest on what was likelier by far where other readings were weighed in a room; what is too much may
be an echo still. Under talk the evidence tells less than it says: talk is no note, nor is it the noise that was
learnt."""


@dataclass(frozen=True, slots=True)
class _Reading:
    """How a sound was read, what was found in that, and where other readings were weighed."""

    notes: list[HeardNote]
    judgement: Judgement
    weighed: tuple[ReadSpan, ...] = ()


_Judging = Callable[[Sequence[HeardNote]], Judgement]


def judge_heard(
    tune: Tune,
    heard: HeardSound,
    strictness: Strictness = Strictness.USUAL,
    terms: TakeTerms = AT_SPEED,
    *,
    setting: Setting = (),
    where: str | None = None,
) -> Judgement:
    """Judge what was heard, as `companion.listen.judgement.judge` does, in the reading that is kindest where in doubt.

    Where something covers short sounds, all around a finding is read once more with the tune in hand, and stays what it
    was only if that is likelier by far. Where a finding still rests on what is not sure, the doubtful note is taken to
    have been as asked, and all is judged again. Under an echo, drones or noise what then rests on such a place is not
    told, and it is said at how many; where short sounds are not heard at all, the melody alone is judged. Raises
    UserError for what is no performance of the tune, and where two players are heard.
    """
    if SoundTrouble.TWO_PLAYERS in heard.troubles:
        what = "two players sound different notes at once in this recording, so it is not judged"
        raise UserError(what, "record one alone", where)

    def judged(notes: Sequence[HeardNote], untold: Callable[[Finding], bool] = lambda finding: False) -> Judgement:
        misheard = MISHEARD_IN_ROOM if heard.echo_s else AS_PLAYED
        events = events_of(notes)
        return judge(tune, events, strictness, terms, setting=setting, where=where, untold=untold, misheard=misheard)

    cover = SoundCover.of(heard)
    octaves: OctaveDoubt | None = None
    near: NameDoubt | None = None
    counted: CountedEvidence | None = None
    if heard.evidence and cover.other:
        by_sound = heard.evidence.costs()
        octaves = OctaveDoubt(heard.evidence, by_sound) if cover.echo else None
        near = NameDoubt(heard.evidence, by_sound, NEIGHBOURS, SURE_NEIGHBOUR_NATS) if heard.drones else None
        heard, counted = _weighed(heard, heard.evidence, by_sound, cover, octaves, near)
    first = judged(heard.notes)
    sure = sure_noises(heard.notes, first.findings) if cover.echo else []
    read = _read_by_tune(heard, counted.sure_of(sure) if counted else None, first, judged, sure)
    kind = _read_kindly(heard, cover, read, judged, octaves, sure)
    judgement = kind.judgement
    limits = strictness.limits.slowed(terms.gracenotes_slowed)
    withholding = Withholding(
        cover,
        judgement.asked,
        changed_s(_doubted(read.notes, octaves), kind.notes),
        KnownTimes(
            cover.echo,
            kind.notes,
            heard.notes,
            moved_s(heard.notes, read.notes) if counted else [],
            octaves,
            limits.off_time_ms,
        ),
        _echo_made(heard, kind, counted, octaves, limits) if cover.echo else None,
        kind.notes,
        heard.notes,
        FoundAgain(judgement.findings, judgement.asked),
        frozenset((each.kind, each.played) for each in read.judgement.findings),
        limits,
        heard.short_sounds,
        near,
    )
    covered = sum(map(withholding.is_untold, judgement.findings))
    quick = sum(withholding.is_too_quick(each) and not withholding.is_untold(each) for each in judgement.findings)
    if any(map(withholding.is_withheld, judgement.findings)):
        judgement = judged(kind.notes, withholding.is_withheld)
    if SoundTrouble.CROWDED in heard.troubles:
        return _only(judgement, frozenset(), CROWDED)
    if not heard.in_time:
        return _only(judgement, OF_MELODY - OF_TIME, melody_alone(heard), not_in_time(heard))
    if not heard.short_sounds:
        return _only(judgement, OF_MELODY, melody_alone(heard))
    said = [*judgement.verdict.not_judged]
    said += [partly_covered(covered, heard)] if covered else []
    said += [too_quick(quick)] if quick else []
    return replace(judgement, verdict=replace(judgement.verdict, not_judged=tuple(said)))


def _echo_made(
    heard: HeardSound,
    kind: _Reading,
    counted: CountedEvidence | None,
    octaves: OctaveDoubt | None,
    limits: Limits,
) -> EchoMade:
    lengths, unnamed = None, None
    if counted is not None:
        lengths = LengthWeighing(counted, kind.notes, heard.notes)
        if counted.evidence.changes:
            unnamed = UnnamedChanges(counted.evidence, counted.evidence.change_costs(), kind.notes)
    return EchoMade(kind.judgement.asked, kind.weighed, lengths, kind.notes, octaves, unnamed, 0.001 * limits.uneven_ms)


def _weighed(
    heard: HeardSound,
    evidence: SoundEvidence,
    costs: Floats,
    cover: SoundCover,
    octaves: OctaveDoubt | None,
    near: NameDoubt | None,
) -> tuple[HeardSound, CountedEvidence]:
    """The sound, with its doubts of names and the silences that are stops, and what its evidence counts for. costs:
    those of the evidence."""
    least = LEAST_STOP_IN_ROOM_NATS if cover.echo else LEAST_STOP_NATS
    notes = near.doubted(heard.notes) if near else list(heard.notes)
    notes = without_lone(notes) if cover.noise else notes
    notes = sounding_on(notes, TOUCHING_S) if cover.echo else notes
    notes = stops_weighed(notes, evidence, costs, least)
    if heard.drones and not cover.echo:
        notes = with_the_last(notes, evidence, costs, least)
    if cover.echo:
        costs = without_unheard_stops(notes, evidence, costs)
    blurred = cover.echo or SoundTrouble.CLIPPED in heard.troubles
    costs = with_names_in_doubt(costs, evidence, notes, blurred=blurred)
    if octaves:
        costs = octaves.in_costs(costs, notes)
    counts = np.float32(OVERSTATED if cover.overstates else 1.0)
    counted = CountedEvidence(evidence, costs * counts, evidence.change_costs() * counts)
    return replace(heard, notes=tuple(notes)), counted


def _read_by_tune(
    heard: HeardSound,
    counted: CountedEvidence | None,
    first: Judgement,
    judged: _Judging,
    sure: Sequence[HeardNote],
) -> _Reading:
    """The notes as they are read with the tune in hand, where that can be weighed."""
    best = _Reading([*heard.notes], first)
    if counted is None:
        return best
    shortest_s = SHORTEST_IN_ROOM_S if heard.echo_s else heard.shortest_s
    reader = ExpectedReader(counted, shortest_s, sure)
    refused: list[ReadSpan] = []  # where more is found in what was read
    for _ in range(READINGS + 1):
        as_asked, spans = reader.read(best.notes, best.judgement, refused)
        read = without_own_echoes(as_asked, heard.notes, counted) if heard.echo_s else as_asked
        weighed = (*best.weighed, *spans)
        if read == best.notes:
            return replace(best, weighed=weighed)
        again = judged(read)
        found = [(each, _found_in(each, best.judgement), _found_in(each, again)) for each in spans]
        more = [span for span, before, after in found if len(after) > len(before)]
        out_of_place = [span for span, before, after in found if is_out_of_place(before, after)]
        if (more or out_of_place) and not refused:
            refused = [*more, *out_of_place]
            # What is nowhere likely but far from its place was weighed there, and is missing.
            best = replace(best, weighed=(*best.weighed, *out_of_place))
            continue
        elsewhere = found_elsewhere(best.judgement.findings, again.findings, spans)
        if len(again.findings) - len(elsewhere) > len(best.judgement.findings):
            break
        best = _Reading(read, again, weighed)
    return best


def _found_in(span: ReadSpan, judgement: Judgement) -> list[Finding]:
    """The findings that lie in a span."""
    return [each for each in judgement.findings if span.holds(each.at_s)]


def _read_kindly(
    heard: HeardSound,
    cover: SoundCover,
    read: _Reading,
    judged: _Judging,
    octaves: OctaveDoubt | None,
    sure: Sequence[HeardNote],
) -> _Reading:
    """What was read, with what is doubtful near a finding taken to be as asked."""
    best = replace(read, notes=_doubted(read.notes, octaves))
    for _ in range(ROUNDS):
        found = [
            each
            for each in best.judgement.findings
            if not (cover.echo and each.kind in _WEIGHED_ONLY and is_in_any(each.at_s, read.weighed))
        ]
        kinder = kinder_reading(best.notes, heard.maybe, found, cover, sure)
        if kinder == best.notes:
            break
        again = judged(kinder)
        if len(again.findings) > len(best.judgement.findings):
            break
        best = replace(best, notes=kinder, judgement=again)
    return _without_exchanges(read, best, judged, octaves)


def _without_exchanges(read: _Reading, kind: _Reading, judged: _Judging, octaves: OctaveDoubt | None) -> _Reading:
    """What was read kindly, but where that only changed one finding for another that is not told."""
    made_s = exchanged_s(read.judgement.findings, kind.judgement.findings)
    if not made_s:
        return kind
    notes = taken_back(_doubted(read.notes, octaves), kind.notes, made_s)
    again = judged(notes)
    if len(again.findings) > len(kind.judgement.findings):
        return kind
    return replace(kind, notes=notes, judgement=again)


def _doubted(notes: Sequence[HeardNote], octaves: OctaveDoubt | None) -> list[HeardNote]:
    """The notes, each with the names that it could as well have in a room."""
    return octaves.doubted(notes) if octaves else list(notes)


def _only(judgement: Judgement, kinds: frozenset[FindingKind], *why: str) -> Judgement:
    """A judgement without all but findings of some kinds of long notes, which says why; of none nothing is counted."""
    verdict = judgement.verdict
    return replace(
        judgement,
        findings=tuple(each for each in judgement.findings if each.kind in kinds),
        verdict=replace(
            verdict,
            matters=tuple(
                each for each in verdict.matters if kinds and all(one.kind in kinds for one in each.findings)
            ),
            went_well=verdict.melody_well if kinds >= OF_MELODY else (),
            notes=verdict.notes if kinds else Share(0, 0),
            gracenotes=Share(0, 0),
            movements=Share(0, 0),
            not_judged=(*verdict.not_judged, *why),
        ),
    )
