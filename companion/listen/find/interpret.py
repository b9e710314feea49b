"""From settled steps to findings: what each step of the alignment means to a teacher, as soon as it can be said."""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence

from companion.listen.align.aligner import Reading, Step
from companion.listen.find.graces import GroupHeard, group_findings
from companion.listen.find.pending_lateness import Hesitations
from companion.listen.find.slips import Neighbour, extra_findings, gracenote_unmoved, holes_for
from companion.listen.model.asked import Asked
from companion.listen.model.findings import Finding, FindingKind, finding_at
from companion.listen.model.segments import Segment
from companion.listen.model.strictness import Limits
from companion.listen.model.tally import Tally
from companion.listen.model.words import bar_phrase, bar_words, letters, melody_label, seconds_words
from companion.listen.rhythm.heard import HeardUnit
from companion.listen.rhythm.rhythm import OnsetJudge
from companion.schedule.events import Event, EventKind
from fingering.chart import chart
from fingering.notes import Note

LEAP_NOTES = 4
"""This many melody notes left out in a row are a stretch skipped, told once."""

HISTORY_NOTES = 24
"""How far back to look for where someone really began again."""

HELD_S = 0.25
"""A note as long as this was no gracenote, but at most one that swallowed it."""

HESITATION_S = 0.3
"""The melody note of a bar follows its first gracenote within this."""


class Interpreter:
    """Takes steps in order; `take` returns the findings that each one completes, `finish` the last."""

    def __init__(self, asked: Asked, limits: Limits, rhythm: OnsetJudge) -> None:
        self._asked, self._limits, self._rhythm = asked, limits, rhythm
        self.tally = Tally()
        self._token = -1
        self._before: Neighbour | None = None
        self._melody_before: Note | None = None
        self._held: Segment | None = None
        self._history: deque[Segment] = deque(maxlen=HISTORY_NOTES)
        self._extras: list[Segment] = []
        self._group: GroupHeard | None = None
        self._apart = False
        self._hesitations = Hesitations()

    def take(self, step: Step) -> list[Finding]:
        """Take in one step. Its segment, and so those before it, may still be sounding: only what is over is judged."""
        self.tally.heard_notes += 1
        self.tally.cost += step.cost
        found = self._run_on(step.ran_on)
        found += self._stop(step)
        if step.reading is Reading.EXTRA:
            self._extras.append(step.segment)
            self._history.append(step.segment)
            return found
        first = step.tokens[0]
        if step.reading is Reading.MATCH:
            found += self._reach(step, first)
        found += self._between(step, first)
        if step.reading is Reading.MATCH:
            found += self._hear(step.segment, first, step.tokens)
        self._token, self._before = first, None
        self._history.append(step.segment)
        self._held = step.segment
        found += self._run_on(step.tokens[1:])
        self._before = self._neighbour(step.segment)
        return found

    def _run_on(self, tokens: Sequence[int]) -> list[Finding]:
        """The note heard last stands for these as well: what should have parted them was left out."""
        found: list[Finding] = []
        for token in tokens:
            assert self._held is not None
            self._miss(range(self._token + 1, token), found, self._held.onset_s)
            found += self._hear(self._held, token, ())
            self._token = token
            self._before = self._neighbour(self._held)
        return found

    def _neighbour(self, segment: Segment) -> Neighbour:
        """The token heard last, as what follows has it before it."""
        holes = holes_for(self._asked, self._token, segment.note, ending=True)
        if self._asked.tokens[self._token].is_melody:
            self._melody_before = segment.note
            return Neighbour(segment.note, segment, holes)
        return Neighbour(segment.note, segment, holes, gracenote_unmoved(segment, self._melody_before))

    def finish(self) -> list[Finding]:
        """The take is over."""
        found: list[Finding] = []
        if self._extras:
            played = self._asked.melody_of(max(self._token, 0))
            found += extra_findings(
                self._asked, self._limits, self._extras, before=self._before, after=None, played=played
            )
        found += self._hesitations.pass_note(self._rhythm.cut())
        return found + self._hesitations.finish()

    # --- stops, leaps, extras ---

    def _stop(self, step: Step) -> list[Finding]:
        """A silence before this note: a break, unless a rest was due or the learner began again after it."""
        segment = step.segment
        if not segment.silence_s:
            return []
        found = (
            self._hesitations.pass_note(self._rhythm.cut())
            if segment.silence_s * 1000.0 >= self._limits.break_ms
            else []
        )
        if segment.silence_s * 1000.0 < self._limits.break_ms or self._token < 0:
            return found
        following = step.tokens[0] if step.tokens else self._token
        token = self._asked.tokens[following]
        rest_due = token.after_rest or any(
            each.kind is EventKind.REST for each in self._asked.schedule.events[token.first : token.last + 1]
        )
        if rest_due or self._leaps_to(following) is not None:
            return found
        played = self._asked.melody_of(following)
        text = f"{bar_words(self._asked, played)}: the sound stopped for {seconds_words(segment.silence_s * 1000.0)}."
        at_s = segment.onset_s - segment.silence_s
        ms = segment.silence_s * 1000.0
        stopped = finding_at(self._asked, played, FindingKind.BREAK, at_s=at_s, ms=ms, text=text, cause="break")
        return [*found, stopped]

    def _leaps_to(self, token: int) -> FindingKind | None:
        """Whether going on at `token` is beginning again, or skipping a stretch."""
        if self._token >= 0 and token < self._token:
            return FindingKind.RESTART
        lost = sum(self._asked.tokens[each].is_melody for each in range(self._token + 1, token))
        return FindingKind.MISSING_NOTE if lost >= LEAP_NOTES else None

    def _reach(self, step: Step, token: int) -> list[Finding]:
        """Come to a new token: what lies between it and the last one was left out, skipped, or is played again."""
        leap = self._leaps_to(token)
        found: list[Finding] = []
        if leap is None:
            self._miss(range(self._token + 1, token), found, at_s=step.segment.onset_s)
            return found
        self._group = None  # cut off by a leap, its melody note never came: nothing is said of it
        off_time = self._rhythm.cut()
        self._apart = True
        if self._plays_again(token):
            return self._hesitations.pass_note(off_time)
        self.tally.leaps += self._token >= 0
        if leap is FindingKind.RESTART:
            self._swallow_beginning(token)
            token, at_s = self._really_began(token, step.segment.onset_s)
            played = self._asked.melody_of(token)
            bar = bar_phrase(self._asked, played)
            found += [each for each in off_time if each.at_s < at_s]
            self._hesitations.forget()
            text = f"{bar_words(self._asked, self._asked.melody_of(self._token))}: you began again from {bar}."
            cause = ("restart", self._asked.melody_of(self._token))
            found.append(finding_at(self._asked, played, leap, at_s=at_s, text=text, cause=cause))
            return found
        found += self._hesitations.pass_note(off_time)
        if self._token >= 0:
            found.append(self._skipped(step, token))
        return found

    def _plays_again(self, token: int) -> bool:
        """Whether the tune begins anew after its end: there is nothing to be said of that."""
        tokens, held = self._asked.tokens, self._held
        swallowed = token == 1 and held is not None and held.note is tokens[0].note
        return (token == 0 or swallowed) and self._token == len(tokens) - 1

    def _swallow_beginning(self, token: int) -> None:
        """Where the note held before swallowed the first gracenote of a bar that is begun again."""
        first = token - 1
        if first in self._asked.bar_starts and self._held is not None:
            event = self._asked.events(first)[-1]
            if event.note is self._held.note and event.kind is EventKind.GRACENOTE:
                self._open(event.played).swallowed += 1

    def _really_began(self, token: int, at_s: float) -> tuple[int, float]:
        """Where and when someone really began again, when the first notes were also the next ones of the tune, so that
        it showed only later: at a bar's beginning from which all that was heard fits, best of all after hesitating."""
        tokens, bars = self._asked.tokens, set(self._asked.bar_starts)
        found = (token, at_s)
        for back, heard in enumerate(reversed(self._history), start=1):
            earlier = token - back
            if earlier < 0 or tokens[earlier].note is not heard.note:
                break
            if not tokens[earlier].is_melody and heard.lasted_s() >= HELD_S:
                if earlier in bars and back > 1:
                    found = (earlier, self._history[1 - back].onset_s)
                break
            if earlier in bars:
                hesitated = self._rhythm.hesitated(heard.onset_s, heard.onset_s + HESITATION_S)
                if hesitated or found[0] not in bars:
                    found = (earlier, heard.onset_s)
                if hesitated:
                    break
        return found

    def _skipped(self, step: Step, token: int) -> Finding:
        lost = [each for each in range(self._token + 1, token) if self._asked.tokens[each].is_melody]
        first, last = self._asked.melody_of(lost[0]), self._asked.melody_of(lost[-1])
        bars = sorted({self._asked.played(each).bar.number for each in range(first, last + 1)})
        self.tally.skipped_bars += bars
        notes = [self._asked.tokens[each].note for each in lost]
        reached = self._asked.melody_of(token)
        on_to = f"{melody_label(self._asked, reached)} in {bar_phrase(self._asked, reached)}"
        text = f"{bar_words(self._asked, first)}: {len(lost)} melody notes were skipped, on to {on_to}."
        return finding_at(
            self._asked,
            first,
            FindingKind.MISSING_NOTE,
            at_s=step.segment.onset_s,
            wanted=letters(notes),
            text=text,
            cause=("skip", first),
        )

    def _between(self, step: Step, token: int) -> list[Finding]:
        extras, self._extras = self._unswallowed(self._extras), []
        note = step.segment.note
        after = Neighbour(note, step.segment, holes_for(self._asked, token, note, ending=False))
        played = self._asked.events(token)[0].played
        found = extra_findings(self._asked, self._limits, extras, before=self._before, after=after, played=played)
        if self._before is not None and step.reading is Reading.MATCH and self._before.segment.note is not note:
            self.tally.movements += 1
            self.tally.movements_clean += not any(each.kind is FindingKind.CROSSING for each in found)
        if not any(each.kind is FindingKind.CROSSING for each in found):
            self.tally.extras += len(extras)
        if any(each.kind is FindingKind.EXTRA_NOTE for each in found):
            self._apart = True
        elif extras and step.reading is Reading.MATCH:
            self._open(played).disturbed(extras[0].onset_s)
        return found

    def _unswallowed(self, extras: list[Segment]) -> list[Segment]:
        """Without a gracenote that the note before, as asked, would have swallowed: it is heard after another note."""
        if not extras or self._token < 0:
            return extras
        tail, last = self._asked.events(self._token)[-1], extras[-1]
        asked = tail.kind is EventKind.GRACENOTE and tail.note is last.note and last.lasted_s() < HELD_S
        return extras[:-1] if asked else extras

    # --- groups of gracenotes and their melody notes ---

    def _open(self, played: int) -> GroupHeard:
        if self._group is None or self._group.played != played:
            self._group = GroupHeard(played)
        return self._group

    def _miss(self, tokens: range, found: list[Finding], at_s: float) -> None:
        for token in tokens:
            for event in self._asked.events(token):
                if event.kind is EventKind.GRACENOTE:
                    self._lose(event)
                else:
                    found.append(self._missing_note(event, at_s))
                    self._group = None
                    self._apart = True

    def _lose(self, event: Event) -> None:
        """A gracenote was not heard: left out, or, where the note before sounds the same, swallowed by it."""
        group = self._open(event.played)
        first = not group.graces and not group.missing
        if first and self._held is not None and self._held.note is event.note:
            group.swallowed += 1
        else:
            group.missing.append(event)

    def _missing_note(self, event: Event, at_s: float) -> Finding:
        self.tally.notes += 1
        label = event.note.label
        text = f"{bar_words(self._asked, event.played)}: {label} was left out."
        return finding_at(
            self._asked,
            event.played,
            FindingKind.MISSING_NOTE,
            at_s=at_s,
            wanted=event.note.letter,
            text=text,
            cause=(FindingKind.MISSING_NOTE, event.played),
        )

    def _hear(self, segment: Segment, token: int, tokens: Sequence[int]) -> list[Finding]:
        """A token was heard in a segment: as its beginning where `tokens`, all that began with it, are given."""
        found: list[Finding] = []
        events = self._asked.events(token)
        begins = bool(tokens)
        alone = len(tokens) == 1 and len(events) == 1
        for rank, event in enumerate(events):
            own = begins and rank == 0
            if event.kind is EventKind.GRACENOTE:
                self._open(event.played).heard(event, segment, alone=alone, begins=own)
            else:
                found += self._melody(segment, event, begins=own)
        return found

    def _melody(self, segment: Segment, event: Event, *, begins: bool) -> list[Finding]:
        group = self._open(event.played)
        self._group = None
        if segment.note is not event.note:
            group.swallow(segment.note)
        found = group_findings(self._asked, self._limits, group, segment, begins=begins)
        self._count(group, event, segment)
        if segment.note is not event.note and begins:
            found.append(self._wrong_note(segment, event))
        if not begins:
            return found
        embellishment = self._asked.schedule.embellishments[event.played]
        unit = HeardUnit(
            event.played,
            group.begins_s(segment.onset_s),
            segment.onset_s,
            embellishment.family if embellishment else None,
            plain=not found and group.plain,
            apart=self._apart,
        )
        self._apart = False
        self.tally.places.append((event.played, segment.onset_s))
        return found + self._hesitations.pass_note(self._rhythm.heard(unit))

    def _count(self, group: GroupHeard, event: Event, melody: Segment) -> None:
        tally = self.tally
        tally.notes += 1
        tally.notes_right += melody.note is event.note
        tally.gracenotes += group.asked_count
        tally.gracenotes_right += group.right_count(melody)

    def _wrong_note(self, segment: Segment, event: Event) -> Finding:
        heard = segment.note
        text = f"{bar_words(self._asked, event.played)}: {heard.label} was played where {event.note.label} is asked."
        return finding_at(
            self._asked,
            event.played,
            FindingKind.WRONG_NOTE,
            at_s=segment.onset_s,
            wanted=event.note.letter,
            heard=heard.letter,
            fingers=chart(event.note).moves_to(chart(heard)),
            text=text,
            cause=(FindingKind.WRONG_NOTE, event.note, heard),
        )
