"""What a piper is likely to do, as costs: the ear picks the reading of a take whose costs add up to the least.

A cost is how much less likely a thing is than playing as asked, as a natural logarithm, roughly: 3 is one in twenty,
5 one in a hundred and fifty. They were set by reason, not fitted to recordings; what matters is their order, given
beside each. Times are seconds.
"""

from __future__ import annotations

import math

WRONG_GRACENOTE = 4.0
"""Another note in a gracenote's place. Dearer than leaving it out, for a finger that moves is mostly the right one."""

WRONG_NOTE = 5.5
"""Another note in a melody note's place; less than leaving it out and putting another in (5.5 + 6.5)."""

MISSING_GRACENOTE = 3.2
"""The first gracenote of a group left out: the commonest fault of all."""

MISSING_FURTHER_GRACENOTE = 1.6
"""Each further gracenote of the same group left out: who leaves out one of an embellishment often leaves out its
fellow."""

MISSING_EMBELLISHMENT = 3.2
"""All gracenotes of a note left out: beginners leave out whole embellishments, so it is one slip, however many."""

LEFT_OUT_FROM = 0.2
LEFT_OUT_LEAST = 0.5
"""Who leaves out this share of all gracenotes, or more, does so by habit. One more then costs what that makes of it
(`leaving_out`), but never less than the least: what sounds as asked is still to be heard as that."""

MISSING_NOTE = 5.5
"""A melody note left out."""

ENDED_EARLY = 3.0
"""The last melody note not heard when a take ends: less than another left out, for many are broken off; enough for a
long note heard there to be that one played wrong (5.5 + 3.2 with its gracenote) and no extra one (6.5)."""

MISSING_ALONG = 0.5
"""A gracenote that goes with its melody note: one slip, not several."""

CROSSING = 2.0
"""A short note that lies on the fingers' way from one note to the next: the commonest noise, cheaper than any other."""

EXTRA_SHORT = 4.0
"""A short note that no movement explains: a gracenote of the learner's own, or a finger that slipped."""

UNSWALLOWED = 0.3
"""A gracenote that sounds like the melody note before it, heard apart from it because another was played there."""

EXTRA_LONG = 6.5
"""A note as long as a melody note that was not asked for: more than a wrong note, less than beginning again."""

SHORT_S = 0.09
"""Up to here a note is as short as gracenotes and noises are; from there to `segments.SETTLED_S` it becomes a note."""

WRONG_AFTER_ITS_GRACENOTE = 3.0
"""A note as long as a melody note, after one that was as short as a gracenote and sounds like its own last gracenote:
only that gracenote was played, and a wrong note after it. With what the first costs for being so short it comes to a
wrong note (2.5 + 3 = 5.5)."""

RESUME = 0.3
"""A melody note heard again after a noise or a stop is taken to go on; a little more than for the next one to begin."""

RESUME_AFTER_NOTE = 2.5
"""A melody note heard again after a long note that was not asked for is taken to go on. Dearer than RESUME: the learner
then played a note too many, which costs EXTRA_LONG by itself, and did not move on in the tune either."""

LONG_GRACENOTE_FROM_S = 0.1
LONG_GRACENOTE = 2.5
"""A gracenote as long as a melody note, reached at `segments.SETTLED_S`: slow fingers are common in learners."""

HELD_FROM_S = 0.15
HELD_TO_S = 0.2
HELD_GRACENOTE = 3.5
"""A melody note left out after its gracenote was held for as long as a melody note, reached at HELD_TO_S where
gracenotes are asked for at speed: twice what slow fingers make of one. With LONG_GRACENOTE and MISSING_NOTE it is
dearer (2.5 + 5.5 + 3.5) than a finger that stayed where the gracenote put it, so that the melody note is a wrong one
(3.2 + 5.5)."""

HELD_ONTO_SHORT = HELD_GRACENOTE + MISSING_NOTE
HELD_ONTO_UP_TO_S = 0.06
"""A melody note no longer than a good gracenote, this long, after its own gracenote was held for as long as a melody
note: no likelier than one left out there, for what sounds so short is the next note's gracenote, or a noise. From
SHORT_S on it costs no more: slow fingers may leave the note that little."""

WRONG_AND_LONG_GRACENOTE = 2.0
"""Added to WRONG_GRACENOTE and LONG_GRACENOTE where a gracenote's place has another note that is long as well: an extra
note is then the likelier reading."""

LEAST_HELD = 0.4
"""A note held on over an equal one, what parts them left out, lasts for this share of that one at least. If it ended
before, that one was left out as well, which costs as much as leaving it out with its gracenote (5.5 + 0.5)."""

SHORTENED_NOTE = 0.8
SHORTENED_NOTE_MOST = 2.5
"""A melody note shorter than asked at the learner's tempo: the cost of each halving beyond the first, and the most of
it."""

OFF_TIME = 0.8
OFF_TIME_MOST = 2.0
OFF_TIME_SHARE = 0.25
OFF_TIME_S = 0.08
"""A note off its time by a quarter of the interval and two gracenotes costs OFF_TIME; rhythm is a hint, no proof."""

BEGIN_AT_BAR = 12.0
"""Beginning again, or skipping, to the start of a bar: more than two notes wrong, less than three; and less than a long
note and a gracenote too many after which the note before goes on (6.5 + 4 + 2.5)."""

BEGIN_AT_OWN_BAR = 8.0
"""Beginning again at the start of the bar in which the learner is: less than a note too many after which the one before
goes on (6.5 + 2.5, or 4 + 4 + 0.3 where both are quick), for what was heard of the bar is heard once more then."""

BEGIN_AT_NOTE = 16.0
"""Beginning again, or skipping, to a melody note within a bar: learners begin again where a bar or a phrase does."""

NOTE_AGAIN = 6.5
NOTE_AGAIN_GRACENOTES = 2
"""A note begun again at once, with its whole embellishment of so many gracenotes or more: as another note too many
(EXTRA_LONG), and less than the two short ones that it would be else, after each of which the note goes on (2 * (4 +
0.3)). Of a single gracenote only the time of the note after it tells, which is heard too late for a reading: see
`take.equal_notes`."""

LEAP_TOKENS = 16.0
LEAP_DOUBLING = 3.0
LEAP_FORWARD = 2.0
"""Each doubling of the distance beyond a bar's worth of notes costs 3 more, and going forward 2: phrases come
back in a tune, and of two equal places learners go to the nearer one, back rather than on."""

LEAP_ACROSS = 4.0
"""Learners go by the page: who goes back on it begins again, and does not leap on into the part's repeat; who goes on,
leaving out a bar, does not go back into the part's first time."""

PLAY_AGAIN = 2.0
"""From the end of the tune to its beginning: tunes are played twice through."""

STOP_BEFORE_BEGINNING = 5.0
"""What a stop takes off BEGIN_AT_BAR and BEGIN_AT_NOTE: who stops, thinks, and begins again."""

STOP_S = 0.25
"""A silence of this length is a stop."""

FIRST_AT_BAR = 6.0
FIRST_AT_NOTE = 12.0
"""A take that begins elsewhere than at the beginning: at a bar, at another note."""

FIRST_IN_REPEAT = 16.0
"""What it costs more to begin a take at the first note of the tune, but in a later time through its first part: that
sounds as the beginning does, and until the part was over nothing could be settled. More than the widest margin
(COMMIT_MARGIN_MOST)."""

COMMIT_MARGIN = 5.0
DOUBT_SHARE = 2.5
COMMIT_MARGIN_MOST = 15.0
"""A reading is settled when every other one costs this much more, and this share of what the reading has cost since the
last settled note beyond a crossing, up to the most: the stranger what was heard, the longer the ear waits. The most is
somewhat more than beginning a bar again costs: until then it may turn out to have been that."""

AMISS = 3.0
"""From here on a reading is strange enough to think of beginning again: well below what that costs, less the margin."""

COMMIT_MARGIN_FIRST = 8.0
"""The margin for the first notes of a take: more than beginning at another bar costs."""

COMMIT_MARGIN_STOPPED = 14.0
NOTES_AFTER_STOP = 12
"""The margin while one of the last few notes followed a stop: more than beginning again costs there."""

LIKELY_MARGIN = 1.2
LIKELY_READINGS = 4
"""Readings that cost at most this much more than the best are likely, up to so many. A gracenote held for the time of
its note is known for a wrong note by the note after it, while that is hardly dearer (2.5 + 5.5 + 3.5 - 2.5 against 6.5)
as an extra one."""

FORETOLD_MOST = 15.0
"""A reading that costs more than this by the note after a wrong one has more amiss in it: mostly a bar begun again. A
wrong note with two gracenotes that were played for it, not for the one asked, costs up to 14.7 (4.0 + 4.0 + 5.5)."""

LONGEST_DOUBT = 48
LONGEST_DOUBT_WHEN_OVER = 96
"""Notes after which the cheapest reading is taken, however close the next: of a take that is over more than while it
goes on, where a learner waits. A part may begin as it goes on for four bars, gracenotes counted."""

SKIP_TOKENS = 9
"""Notes that can be left out in one go without it being a leap: a crunluath and its melody note."""

MERGE_CHAIN = 6
"""How often one held note can swallow what should have parted it (a birl has three parts)."""

LOST = 35.0
LOST_MEMORY = 0.9
"""Once the last notes have cost so much, each one before them counting for this share of what it did for the next, the
ear has lost its place. It then looks for it anew all over the tune, as at the beginning of a take; a beginner with a
fault at every third note stays well below."""

BEAM = 2.0 * AMISS + COMMIT_MARGIN_MOST
"""While nothing is amiss, a reading that costs so much more than the last settled note is dropped: the best one costs
at most AMISS more, and what costs more than that by the widest margin keeps nothing from being settled. AMISS counts
twice, for the next note that is settled may have cost as much, and what is open is then reckoned from there."""


def leaving_out(share: float) -> float:
    """Return by what a gracenote left out costs less than MISSING_GRACENOTE where that share of them is left out."""
    if share < LEFT_OUT_FROM:
        return 1.0
    cost = math.log((1.0 - share) / share) if share < 1.0 else 0.0
    return min(1.0, max(cost, LEFT_OUT_LEAST) / MISSING_GRACENOTE)
