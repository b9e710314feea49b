"""Where everything stands in the pictures of a take. Measures are choices, no source; sums are by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from companion.listen.judgement import Judgement, judge
from companion.listen.model.findings import Finding, FindingKind
from companion.listen.report.page_lanes import GRID, LanePicture, label_of, picture_of
from companion.listen.report.page_lines import PageLine, TakeLanes, lines_of
from fingering.holes import Finger
from tests.companion.listen.playing import FOUR_BARS, asked_of, played_as, tune_of

PER_S = 420.0 / 3.3
"""The width of a second: the longest line, 2.8 s, and what is shown beside it fill the picture right of the names."""


def judged(music: str = FOUR_BARS, tempo: str = "1/4=60", ratio: float = 1.0) -> Judgement:
    """A take as asked from 1 s on, so many times slower than at 60 crotchets a minute."""
    return judge(tune_of(music, tempo), played_as(asked_of(music), ratio))


def pictured(judgement: Judgement, rank: int) -> tuple[LanePicture, PageLine]:
    """The picture of one of its lines."""
    lanes = TakeLanes.of(judgement)
    line = list(lines_of(judgement, lanes))[rank]
    return picture_of(judgement, lanes, line), line


def finding(at_s: float, *fingers: Finger) -> Finding:
    """A crossing at that moment."""
    return Finding(FindingKind.CROSSING, at_s, 1, 0, 0, "A", "B", fingers, 40.0, "A noise.", "low A", "one")


def test_lanes_stand_below_each_other_with_a_gap_between_the_hands() -> None:
    """Eight lanes of 16 from 42 on, the lower hand's 8 further down; letters and times take 38 more."""
    assert [GRID.lane_y(finger) for finger in Finger] == [42.0, 58.0, 74.0, 90.0, 114.0, 130.0, 146.0, 162.0]
    assert (GRID.bottom, GRID.height, GRID.width) == (178.0, 216.0, 480.0)
    assert GRID.per_s == pytest.approx(PER_S)


def test_a_line_is_shown_with_its_surroundings() -> None:
    """0.35 s before it and 0.15 s after it; what is further off stands at the ends."""
    line = PageLine(10.0, 12.0, range(0))
    assert GRID.right(line) == pytest.approx(60.0 + 2.5 * PER_S)
    for at_s, shown_s in ((9.0, 0.0), (9.65, 0.0), (10.0, 0.35), (12.0, 2.35), (12.15, 2.5), (13.0, 2.5)):
        assert GRID.x(at_s, line) == pytest.approx(60.0 + shown_s * PER_S)


def test_the_first_line_of_a_take() -> None:
    """Half a bar from 1 s to 3 s: the bar is named at its line, half seconds have a mark, whole ones a time."""
    picture, line = pictured(judged(), 0)
    assert (line.begin_s, line.end_s) == (1.0, 3.0)
    assert picture.label == "Lanes of bar 1, from 1.0 to 3.0 seconds"
    assert picture.lanes[0] == ("thumb", 42.0)
    assert picture.lanes[-1] == ("little", 162.0)
    begin_x = 60.0 + 0.35 * PER_S
    assert picture.begin_x == pytest.approx(begin_x)
    assert picture.right == pytest.approx(60.0 + 2.5 * PER_S)
    assert picture.beside[0] == pytest.approx((60.0, begin_x))
    assert picture.beside[1] == pytest.approx((begin_x + 2.0 * PER_S, begin_x + 2.15 * PER_S))
    assert picture.begins_in == ""
    assert [name for _, name in picture.bars] == ["bar 1"]
    assert picture.bars[0][0] == pytest.approx(begin_x)
    assert picture.beats == pytest.approx((begin_x + PER_S, begin_x + 2.0 * PER_S))
    assert [words for _, words in picture.ticks] == ["0:01", "", "0:02", "", "0:03"]
    assert [x for x, _ in picture.ticks] == pytest.approx([begin_x + 0.5 * PER_S * half for half in range(5)])
    assert [letter for _, letter in picture.letters] == ["A", "B", "c", "d"]
    assert picture.letters[0][0] == pytest.approx(begin_x)
    assert picture.findings == ()


def test_a_line_that_begins_within_a_bar_says_in_which() -> None:
    """The second half of bar 1: no bar line is in it, and the beat that begins it is drawn."""
    picture, line = pictured(judged(), 1)
    assert (line.begin_s, line.end_s) == (3.0, 5.0)
    assert (picture.begins_in, picture.bars) == ("bar 1", ())
    assert picture.beats == pytest.approx((picture.begin_x, picture.begin_x + PER_S))
    assert [letter for _, letter in picture.letters] == ["e", "f", "e", "d"]


def closed_by(picture: LanePicture, finger: Finger) -> list[tuple[str, float, float, float, float]]:
    """What is drawn in its lane: the style, then x, y, width and height to a hundredth."""
    found = [each for each in picture.closed if 0.0 <= each[2] - GRID.lane_y(finger) < GRID.lane]
    return [(style, round(x, 2), y, round(width, 2), height) for style, x, y, width, height in found]


def test_a_hole_that_stays_closed_is_one_stretch() -> None:
    """The thumb hole, to the end of what is shown: what was asked, 13 high, about what was played, 8 high."""
    picture, _ = pictured(judged(), 0)
    x, width = round(60.0 + 0.35 * PER_S, 2), round(2.15 * PER_S, 2)
    assert closed_by(picture, Finger.THUMB) == [("played", x, 46.0, width, 8.0), ("asked", x, 43.5, width, 13.0)]


def test_a_hole_that_opens_and_closes_again_is_two() -> None:
    """The upper ring finger's, from low A to E and on to C: closed for a second, and again two seconds later."""
    picture, _ = pictured(judged("A2e2c2B2|A2e2c2B2|A2B2c2d2|"), 0)
    begin_x = 60.0 + 0.35 * PER_S
    played = [(x, width) for style, x, _, width, _ in closed_by(picture, Finger.UPPER_RING) if style == "played"]
    assert played[0] == pytest.approx((begin_x, PER_S), abs=0.01)
    assert played[1] == pytest.approx((begin_x + 2.0 * PER_S, 0.15 * PER_S), abs=0.01)


@pytest.mark.parametrize(("ratio", "names"), [(0.5, ["bar 1", "bar 2"]), (0.3, ["bar 1", "bar 2", "bar 3"])])
def test_bars_are_named_where_there_is_room(ratio: float, names: list[str]) -> None:
    """A name takes 50, four tenths of a second: bars of a second or two have room for it."""
    music = "A2B2c2d2|e2f2e2d2|c2B2A2B2|c2d2e2c2|A2B2c2d2|e2f2e2c2|"
    picture, _ = pictured(judged(music, ratio=ratio), 0)
    assert [name for _, name in picture.bars][: len(names)] == names[: len(picture.bars)]
    assert all(name for _, name in picture.bars)


def test_a_bar_with_no_room_for_its_name_has_its_line_alone() -> None:
    """Bars of 0.32 s: every second one is named."""
    music = "A2B2c2d2|e2f2e2d2|c2B2A2B2|c2d2e2c2|" * 3
    picture, _ = pictured(judged(music, "1/4=240", 0.08), 0)
    assert [name for _, name in picture.bars] == [f"bar {bar}" if bar % 2 else "" for bar in range(1, 9)]


def test_numbers_of_findings_do_not_lie_on_each_other() -> None:
    """Beside their triangle, 18 from the one before at least, and within the picture; frames are at their fingers."""
    judgement = judged()
    found = (finding(1.5, Finger.THUMB), finding(1.52, Finger.LOWER_INDEX, Finger.LOWER_RING), finding(2.5))
    picture, _ = pictured(replace(judgement, findings=found), 0)
    first_x = 60.0 + 0.85 * PER_S
    assert [each.number for each in picture.findings] == [1, 2, 3]
    assert [each.x for each in picture.findings] == pytest.approx([first_x, first_x + 0.02 * PER_S, first_x + PER_S])
    assert [each.number_x for each in picture.findings] == pytest.approx(
        [first_x + 5.0, first_x + 23.0, first_x + PER_S + 5.0]
    )
    assert [each.finger_ys for each in picture.findings] == [(42.0,), (114.0, 146.0), ()]
    assert picture.label.endswith(", with findings 1, 2, 3")


def test_the_time_is_told_in_minutes_and_seconds() -> None:
    """At whole seconds within the line alone, and a mark at each half."""
    lanes = TakeLanes.of(judged())
    ticks = picture_of(judged(), lanes, PageLine(64.2, 66.1, range(0))).ticks
    assert [words for _, words in ticks] == ["", "1:05", "", "1:06"]
    assert [x for x, _ in ticks] == pytest.approx([60.0 + (0.65 + 0.5 * half) * PER_S for half in range(4)])


def test_two_findings_are_findings() -> None:
    """One is a finding."""
    lanes = TakeLanes.of(judged())
    assert label_of(lanes, PageLine(3.0, 5.0, range(4, 6))).endswith(" seconds, with findings 5, 6")


def test_the_number_of_a_finding_at_the_end_stays_within_the_picture() -> None:
    """It takes 18."""
    judgement = replace(judged(), findings=(finding(3.79),))
    lanes = TakeLanes.of(judgement)
    (pointer,) = picture_of(judgement, lanes, PageLine(1.0, 3.8, range(1))).findings
    assert pointer.number_x == 462.0


def test_a_picture_of_several_bars_names_the_first_and_the_last() -> None:
    """From 3 s to 6 s, the middle of bar 1 to that of bar 2; up to a bar line, bar 1 alone."""
    lanes = TakeLanes.of(judged())
    assert label_of(lanes, PageLine(3.0, 6.0, range(0))) == "Lanes of bar 1 to bar 2, from 3.0 to 6.0 seconds"
    assert label_of(lanes, PageLine(3.0, 5.0, range(4, 5))).startswith("Lanes of bar 1, from")
    assert label_of(lanes, PageLine(3.0, 5.0, range(4, 5))).endswith(" seconds, with finding 5")
