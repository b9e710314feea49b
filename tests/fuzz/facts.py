"""What must hold of whatever is read, from whatever bytes."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable
from itertools import pairwise

from companion.commands.read import listing, tune_json
from companion.listen.judgement import Judgement
from companion.listen.model.played import Fingered, Played, Sounded
from companion.midi.stream.line import Timed
from companion.midi.stream.messages import encode
from companion.schedule.events import Schedule
from companion.score.form.plan import MAX_PLAYED
from companion.score.model import Tune
from companion.score.problems import Problem
from fingering.errors import UserError


def assert_said_in_a_line(error: UserError) -> None:
    """A refusal is one line that prints as it stands."""
    assert str(error).isprintable(), str(error)
    assert error.what
    assert error.remedy


def assert_in_order(tune: Tune) -> None:
    """Ranks, parts, phrases, bar numbers and the order of playing agree with each other."""
    assert [note.rank for note in tune.notes] == list(range(len(tune.notes)))
    assert all(note.duration > 0 for note in tune.notes)
    assert [i for part in tune.parts for i in range(part.first, part.stop)] == list(range(len(tune.bars)))
    for part in tune.parts:
        held = [i for phrase in part.phrases for i in range(phrase.first, phrase.stop)]
        assert held == list(range(part.first, part.stop))
    assert 0 < len(tune.order) <= MAX_PLAYED
    assert set(tune.order) <= set(range(len(tune.bars)))
    numbers = [bar.number for bar in tune.bars]
    assert numbers == sorted(set(numbers))


def assert_prints(tune: Tune) -> None:
    """Nothing that the program shows of a tune can move a terminal's cursor or change its colours."""
    for line in listing(tune):
        assert line.isprintable(), line
    kept = [tune.composer, tune.meter.text, tune.key, *(field.text for field in tune.fields)]
    kept += [word for note in tune.notes for word in (note.chord, *note.annotations, *note.decorations)]
    kept += [each.text for each in (tune.tempo, *(bar.tempo for bar in tune.bars)) if each]
    assert all(word.isprintable() for word in kept), kept
    json.dumps(tune_json(tune), allow_nan=False)


def assert_within(problem: Problem, widths: list[int]) -> None:
    """A problem stands in the text, at its end at most, and is told in one line. widths: the length of each line."""
    line, column = problem.place.line, problem.place.column
    assert 1 <= line <= len(widths), problem
    assert 1 <= column <= widths[line - 1] + 1, problem
    assert problem.what.isprintable(), problem
    assert problem.remedy.isprintable(), problem


def assert_timed(schedule: Schedule) -> None:
    """Events follow each other in finite time and refer to what is there."""
    assert math.isfinite(schedule.duration_s)
    assert schedule.duration_s >= 0.0
    for event in schedule.events:
        assert math.isfinite(event.start_s)
        assert event.start_s <= event.end_s
        assert 0 <= event.played < len(schedule.played)
    assert _rises(event.start_s for event in schedule.events)
    assert _rises(beat.at_s for beat in schedule.beats)
    assert all(0 <= state.event < len(schedule.events) for state in schedule.states)
    assert len(schedule.note_onsets_s) == len(schedule.played) == len(schedule.embellishments)


def assert_messages(messages: Iterable[Timed]) -> None:
    """Messages come in order, in finite time, and each can be written again."""
    kept = tuple(messages)
    assert _rises(timed.at_s for timed in kept)
    assert all(math.isfinite(timed.at_s) for timed in kept)
    for message in {timed.message for timed in kept}:
        encode(message)


def assert_played(events: Iterable[Played]) -> None:
    """What was played comes in order, in finite time, and nothing is told twice in a row."""
    kept = tuple(events)
    assert _rises(event.at_s for event in kept)
    assert all(math.isfinite(event.at_s) for event in kept)
    for old, new in pairwise(kept):
        told = (old.note, new.note) if isinstance(old, Sounded) and isinstance(new, Sounded) else (0, 1)
        assert told[0] != told[1], (old, new)


def assert_judged(judgement: Judgement, first_s: float, last_s: float) -> None:
    """Findings stand in the tune and in the take's time, and all words print."""
    schedule = judgement.asked.schedule
    for finding in judgement.findings:
        assert first_s <= finding.at_s <= last_s, finding
        assert 0 <= finding.played < len(schedule.played), finding
        assert schedule.played[finding.played].note.rank == finding.note, finding
        assert finding.ms is None or math.isfinite(finding.ms), finding
        assert finding.text.isprintable(), finding
        assert finding.crossing is None or 0.0 <= finding.crossing.certainty <= 1.0, finding
    verdict = judgement.verdict
    for share in (verdict.notes, verdict.gracenotes, verdict.movements):
        assert 0 <= share.right <= share.of, share
    for index, at_s in judgement.places:
        assert 0 <= index < len(schedule.played)
        assert first_s <= at_s <= last_s
    said = (*verdict.went_well, *verdict.not_judged, *(each.text for each in verdict.matters))
    assert all(text.isprintable() for text in said)
    assert all(1.0 <= each.drill.slow_down <= 32.0 for each in verdict.matters)
    assert all(isinstance(event, Sounded | Fingered) for event in judgement.events)


def _rises(times: Iterable[float]) -> bool:
    return all(old <= new for old, new in pairwise(times))
