"""The lesson that is taken home: whole, without scripts, with a picture of all that is new in it."""

from __future__ import annotations

import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest

from companion.commands.judge import paper_colours
from companion.lesson.model.known import Known
from companion.lesson.model.steps import Lesson, StepKind
from companion.lesson.page.page import lesson_page
from companion.lesson.page.strips import GRACENOTE_WIDTH, LANE, strip_picture
from companion.lesson.phrases.plan import plan_of
from companion.lesson.steps.lesson import lesson_of
from fingering.embellishments import recognise
from fingering.holes import Finger
from fingering.notes import Note
from tests.companion.listen.playing import tune_of

MUSIC = "A2{g}B2c2d2|{gef}e2f2e2d2|A2{g}B2c2d2|{gef}e2c2B2{GdG}A2|"
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def lesson() -> Lesson:
    """Of a tune with a gracenote, a doubling and a grip."""
    tune = tune_of(MUSIC)
    return lesson_of(tune, plan_of(tune))


def parsed(html: str) -> ElementTree.Element:
    """The page as an XML parser reads it."""
    return ElementTree.fromstring(
        html.removeprefix("<!DOCTYPE html>\n")
        .replace('<meta charset="utf-8">', "")
        .replace('<meta name="viewport" content="width=device-width, initial-scale=1">', "")
        .replace("<br>", "<br/>")
    )


def test_it_is_well_formed_and_fetches_and_runs_nothing(lesson: Lesson) -> None:
    html = lesson_page([lesson], paper_colours())
    assert parsed(html).attrib["lang"] == "en"
    assert "<script" not in html
    assert set(re.findall(r"https?://[^\"' )]+", html)) <= {"http://www.w3.org/2000/svg"}
    assert not re.search(r"<(img|link|iframe|object)|@import|url\(| on[a-z]+=", html)


def test_each_new_embellishment_has_its_picture_and_each_step_its_line(lesson: Lesson) -> None:
    page = parsed(lesson_page([lesson], paper_colours()))
    drills = [step for step in lesson.steps if step.kind is StepKind.EMBELLISHMENT]
    assert len(drills) == 3
    figures = page.findall(".//figure")
    assert [figure.findtext("figcaption/b") for figure in figures] == [step.what for step in drills]
    assert all(figure.find(f"{SVG}svg") is not None for figure in figures)
    assert len(page.findall(".//ol/li")) == len(lesson.steps)


def test_the_plan_names_each_different_phrase_once(lesson: Lesson) -> None:
    page = parsed(lesson_page([lesson], paper_colours()))
    names = [cell.text for cell in page.findall(".//tbody/tr/th/b")]
    assert names == list(dict.fromkeys(phrase.name for phrase in lesson.plan.phrases))
    assert lesson.plan.line in (paragraph.text for paragraph in page.findall(".//p"))


def test_who_knows_the_embellishments_gets_none_of_their_pictures(lesson: Lesson) -> None:
    known = Known(sure=frozenset(step.skill for step in lesson.steps if step.skill))
    page = parsed(lesson_page([lesson_of(lesson.tune, lesson.plan, known)], paper_colours()))
    assert page.findall(".//figure") == []


def test_what_a_tune_is_called_is_never_markup(lesson: Lesson) -> None:
    named = replace(lesson, tune=replace(lesson.tune, title="<b>&amp;</b> one", composer="<i>"))
    html = lesson_page([named, lesson], paper_colours())
    assert "<b>&amp;</b> one" not in html
    assert "&lt;b&gt;&amp;amp;&lt;/b&gt; one" in html


def test_a_strip_shows_which_holes_each_gracenote_closes() -> None:
    """A G gracenote lifts the upper index finger alone (common practice, no source)."""
    picture = strip_picture(recognise((Note.HIGH_G,), onto=Note.E, before=Note.D), Note.D)
    lane_y = dict(picture.fingers)
    bars = [bar for bar in picture.closed if 0.0 <= bar[1] - lane_y["upper index"] < LANE]
    assert len(bars) == 2, "closed before it, and after it"
    (first_x, _, first_width, _), (second_x, *_) = bars
    assert second_x - (first_x + first_width) == pytest.approx(GRACENOTE_WIDTH, abs=0.5)
    assert [letter for _, letter in picture.letters] == ["d", "g", "e"]
    assert len(picture.fingers) == len(Finger)
