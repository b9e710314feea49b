"""Whether a note that was left out left its time behind: in another setting the bar is as long as it is written."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping

from companion.listen.model.asked import Asked

AROUND = 6
"""From so many notes on either side the tempo is taken in which a note would have sounded."""

MOST_LOST = 0.5
"""Who lost more than this share of a note's time left out the time as well."""


def keeps_time(asked: Asked, onsets_s: Mapping[int, float], played: int) -> bool:
    """Whether the notes around one that was left out lie as far apart as with it. onsets_s: of the notes heard, by
    played note. Where there is too little around it to tell, it is so.
    """
    heard = sorted(onsets_s)
    place = bisect_left(heard, played)
    if played in onsets_s or not 0 < place < len(heard):
        return True
    asked_s = asked.schedule.note_onsets_s
    before, after = heard[place - 1], heard[place]
    first, last = heard[max(0, place - 1 - AROUND)], heard[min(len(heard) - 1, place + AROUND)]
    around_heard_s = onsets_s[before] - onsets_s[first] + onsets_s[last] - onsets_s[after]
    around_asked_s = asked_s[before] - asked_s[first] + asked_s[last] - asked_s[after]
    if min(around_heard_s, around_asked_s) <= 0.0:
        return True
    slower = around_heard_s / around_asked_s
    lost_s = asked_s[after] - asked_s[before] - (onsets_s[after] - onsets_s[before]) / slower
    return lost_s <= MOST_LOST * (asked_s[played + 1] - asked_s[played])
