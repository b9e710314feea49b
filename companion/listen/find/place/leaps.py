"""Findings from leaps: where a learner really began again, and which stretch was skipped."""

from __future__ import annotations

from collections.abc import Callable

from companion.listen.find.place.facts import BegunAgain, Skipped
from companion.listen.find.place.standing import HELD_S, melody_between
from companion.listen.model.asked import Asked
from companion.listen.model.findings import Finding, FindingKind, finding_at
from companion.listen.model.words import bar_phrase, bar_words, letters, melody_label

HESITATION_S = 0.3
"""A hesitation before a bar shows at its first melody note, at most this long after its first gracenote, in s."""

Hesitated = Callable[[float, float], bool]
"""Whether a note that was far off its time began between two moments, in s."""


def begun_again(asked: Asked, leap: BegunAgain, hesitated: Hesitated) -> Finding:
    """Return the finding for a learner who began again."""
    token, at_s = _really_began(asked, leap, hesitated)
    return begun_again_from(asked, asked.melody_of(leap.left), _begun_at(asked, token), at_s)


def begun_again_from(asked: Asked, left: int, played: int, at_s: float) -> Finding:
    """Return the finding for a learner who left off at one played note and began again at another, at that moment in
    s."""
    text = f"{bar_words(asked, left)}: you began again from {bar_phrase(asked, played)}."
    return finding_at(asked, played, FindingKind.RESTART, at_s=at_s, text=text, cause=("restart", left))


def note_again(asked: Asked, played: int, at_s: float) -> Finding:
    """Return the finding for a learner who played one note once more, from that moment on, in s."""
    text = f"{bar_words(asked, played)}: you played {melody_label(asked, played)} and then began it again."
    return finding_at(asked, played, FindingKind.RESTART, at_s=at_s, text=text, cause=("restart", played))


def _begun_at(asked: Asked, token: int) -> int:
    """Return the played note with which someone began again at a token; where a bar begins within it, that bar's."""
    played = asked.events(token)[-1].played
    begins_within = token in asked.bar_starts and asked.events(token)[0].played != played
    return played if begins_within else asked.melody_of(token)


def _really_began(asked: Asked, leap: BegunAgain, hesitated: Hesitated) -> tuple[int, float]:
    """Return at which token, and when, someone really began again.

    The first notes may also have been the next ones of the tune, so that it showed only later that they were not. Then
    it is at a bar's beginning from which all that was heard fits, best of all after hesitating.
    """
    tokens, bars = asked.tokens, set(asked.bar_starts)
    found = (leap.token, leap.segment.onset_s)
    for back, heard in enumerate(reversed(leap.history), start=1):
        earlier = leap.token - back
        if earlier < 0 or tokens[earlier].note is not heard.note:
            break
        if not tokens[earlier].is_melody and heard.lasted_s() >= HELD_S:
            if earlier in bars and back > 1:
                found = (earlier, leap.history[1 - back].onset_s)
            break
        if earlier in bars:
            after_hesitating = hesitated(heard.onset_s, heard.onset_s + HESITATION_S)
            if after_hesitating or found[0] not in bars:
                found = (earlier, heard.onset_s)
            if after_hesitating:
                break
    return found


def skipped(asked: Asked, leap: Skipped) -> Finding:
    """Return the one finding for a stretch that was skipped."""
    lost = melody_between(asked, leap.left, leap.token)
    first, reached = asked.melody_of(lost[0]), asked.melody_of(leap.token)
    on_to = f"{melody_label(asked, reached)} in {bar_phrase(asked, reached)}"
    return finding_at(
        asked,
        first,
        FindingKind.MISSING_NOTE,
        at_s=leap.segment.onset_s,
        wanted=letters([asked.tokens[each].note for each in lost]),
        text=f"{bar_words(asked, first)}: {len(lost)} melody notes were skipped, on to {on_to}.",
        cause=("skip", first),
    )


def skipped_bars(asked: Asked, leap: Skipped) -> list[int]:
    """Return the numbers of the bars in which a skipped stretch lies, in order."""
    lost = melody_between(asked, leap.left, leap.token)
    first, last = asked.melody_of(lost[0]), asked.melody_of(lost[-1])
    return sorted({asked.played(each).bar.number for each in range(first, last + 1)})
