"""What stands on a hand-out: the plan, each different phrase once, all that is new, and the whole tune."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from companion.handout.model import HandoutStyle, TuneExtent, TuneSheet
from companion.handout.tune_sheet import tune_sheet
from companion.lesson.model.known import NOTHING_KNOWN
from companion.lesson.phrases.plan import plan_of
from companion.lesson.steps.needs import needs_of, new_embellishments
from companion.score.abc import read_abc, read_abc_text
from companion.score.bundled import bundled_files
from companion.score.engrave.style import KeySignature, StaffStyle
from companion.score.model import Tune
from companion.score.staff.spell import staff_of
from tests.companion.score.engrave.drawing import Drawing

pytestmark = pytest.mark.same_everywhere
OURS = [path for path in bundled_files() if path.stem != "drills"]
F_SHARP = "E262"  # SMuFL: accidentalSharp


@cache
def sheet_of(path: Path) -> tuple[Tune, TuneSheet]:
    """The first tune of a file, and its sheet."""
    tune = read_abc(path).tunes[0]
    return tune, tune_sheet(tune, HandoutStyle())


@pytest.mark.parametrize("path", OURS, ids=lambda path: path.stem)
def test_each_different_phrase_stands_there_once(path: Path) -> None:
    """With the bars of the first that has its name, and their numbers as ids."""
    tune, sheet = sheet_of(path)
    plan = plan_of(tune)
    assert sheet.plan == plan.line
    assert [phrase.name for phrase in sheet.phrases] == list(dict.fromkeys(phrase.name for phrase in plan.phrases))
    for block in sheet.phrases:
        bars = next(phrase.bars for phrase in plan.phrases if phrase.name == block.name)
        drawing = Drawing([line.svg for line in block.lines])
        assert drawing.ids("measure", "b") == [f"b{index}" for index in bars]
        graces = [
            grace.id for bar in staff_of(tune) if bar.index in bars for note in bar.notes for grace in note.graces
        ]
        assert sorted(drawing.ids("note", "g")) == sorted(graces)


@pytest.mark.parametrize("path", OURS, ids=lambda path: path.stem)
def test_all_that_is_new_has_a_strip_in_the_phrase_where_it_first_comes(path: Path) -> None:
    """Each once, by its trade name."""
    tune, sheet = sheet_of(path)
    needs = needs_of(tune)
    new = new_embellishments(needs, NOTHING_KNOWN)
    assert len({strip.name for phrase in sheet.phrases for strip in phrase.strips}) == len(new)
    assert sum(len(phrase.strips) for phrase in sheet.phrases) == len(new)
    first = sheet.phrases[0]
    assert first.strips
    notes = {note.rank for bar in tune.bars[: plan_of(tune).phrases[0].stop] for note in bar.notes}
    ranks = [needs.schedule.played[needs.places[skill][0]].note.rank for skill in new]
    assert sum(rank in notes for rank in ranks) == len(first.strips)


@pytest.mark.parametrize("path", OURS, ids=lambda path: path.stem)
def test_the_whole_tune_is_there_and_its_lines_end_with_phrases(path: Path) -> None:
    """All bars in order; every line begins where a phrase does."""
    tune, sheet = sheet_of(path)
    lines = [Drawing([line.picture.svg]).ids("measure", "b") for line in sheet.whole]
    assert [bar for line in lines for bar in line] == [f"b{index}" for index in range(len(tune.bars))]
    starts = {f"b{phrase.first}" for part in tune.parts for phrase in part.phrases}
    assert {line[0] for line in lines} <= starts
    assert [line.begins_part for line in sheet.whole].count(True) == len(tune.parts)


def test_the_whole_alone_has_no_phrases() -> None:
    """Nor a plan; it is engraved as it is."""
    tune, sheet = sheet_of(OURS[0])
    alone = tune_sheet(tune, HandoutStyle(extent=TuneExtent.WHOLE))
    assert (alone.plan, alone.phrases) == ("", ())
    assert alone.title == sheet.title
    assert alone.whole


def test_repeats_stand_in_a_phrase_only_where_both_ends_do() -> None:
    """Alone one of them would be no music; those of endings stay, and the whole has all."""
    tune = read_abc_text("X:1\nM:4/4\nL:1/8\nK:HP\n|:A2B2c2d2|e2f2e2d2|B2c2d2e2|1 f2e2d2c2:|2 a2g2f2e2||\n").tunes[0]
    sheet = tune_sheet(tune, HandoutStyle())
    assert Drawing([line.picture.svg for line in sheet.whole]).repeat_dots() == 2
    dots = [Drawing([line.svg for line in phrase.lines]).repeat_dots() for phrase in sheet.phrases]
    assert len(dots) == 2
    assert dots == [0, 1]


def test_a_metre_stands_at_the_first_phrase_alone() -> None:
    """As the phrases are bars of one tune."""
    _, sheet = sheet_of(OURS[0])
    drawings = [Drawing([phrase.lines[0].svg]) for phrase in sheet.phrases]
    signs = [[each for sign in drawing.each("meterSig") for each in sign.iter() if each.tag.endswith("use")]
             for drawing in drawings]  # fmt: skip
    assert [bool(each) for each in signs] == [True] + [False] * (len(signs) - 1)


@pytest.mark.parametrize("signature", KeySignature)
def test_the_key_signature_that_was_chosen(signature: KeySignature) -> None:
    """F and C sharp, or none."""
    tune, _ = sheet_of(OURS[0])
    style = HandoutStyle(replace(StaffStyle(), key_signature=signature), extent=TuneExtent.WHOLE)
    line = tune_sheet(tune, style).whole[0].picture.svg
    assert (F_SHARP in line) == (signature is KeySignature.SHARPS)


def test_a_note_tied_over_the_beginning_of_a_phrase_is_drawn_there() -> None:
    """As a further piece of the note before."""
    tune = read_abc_text("X:1\nM:4/4\nL:1/8\nK:HP\nA2B2c2d2|e2f2e2d2-|\nd2c2d2e2|f2e2d2c2|\n").tunes[0]
    sheet = tune_sheet(tune, HandoutStyle())
    drawn = [name for phrase in sheet.phrases for name in Drawing([line.svg for line in phrase.lines]).ids("note", "n")]
    assert "n7-2" in drawn
