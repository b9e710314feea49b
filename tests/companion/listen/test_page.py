"""The page for a teacher: whole, without scripts, readable by everyone."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest

from companion.listen import page
from companion.listen.judgement import judge
from companion.listen.page import page_of
from tests.companion.listen.test_verdict import LEARNERS, judged
from tests.learners.player import simulate
from tests.learners.tunes import make_tune
from tests.referees import require_module


@pytest.fixture(scope="module")
def html() -> str:
    """The page of a stumbling learner."""
    return page_of([("take.mid", judged("stumbling"))])


def test_it_is_well_formed_and_in_a_language(html: str) -> None:
    """An XML parser reads it, tags closed and all."""
    root = ElementTree.fromstring(
        html.removeprefix("<!DOCTYPE html>\n")
        .replace('<meta charset="utf-8">', "")
        .replace('<meta name="viewport" content="width=device-width, initial-scale=1">', "")
    )
    assert root.attrib["lang"] == "en"
    assert root.find("./body/main/section/h1") is not None


def test_it_fetches_and_runs_nothing(html: str) -> None:
    """No scripts, no addresses but the name of SVG, no pictures or fonts from elsewhere."""
    assert "<script" not in html
    assert set(re.findall(r"https?://[^\"' )]+", html)) <= {"http://www.w3.org/2000/svg"}
    assert not re.search(r"<(img|link|iframe|object)|@import|url\(| on[a-z]+=", html)


def test_every_finding_is_marked_and_listed(html: str) -> None:
    """A mark in the lanes leads to each item of the list."""
    count = len(judged("stumbling").findings)
    assert count > 0
    assert re.findall(r'<li id="t1f(\d+)"', html) == [str(number) for number in range(1, count + 1)]
    assert sorted(set(map(int, re.findall(r'href="#t1f(\d+)"', html)))) == list(range(1, count + 1))


def test_pictures_have_words(html: str) -> None:
    """WCAG 2.2, 1.1.1: each picture says what it shows."""
    pictures = re.findall(r"<svg[^>]*>", html)
    assert pictures
    assert all('role="img"' in picture and "aria-label=" in picture for picture in pictures)


def test_colours_can_be_read() -> None:
    """WCAG 2.2, 1.4.3 and 1.4.11: text 4.5 to 1, what is drawn 3 to 1."""
    rgb = require_module("wcag_contrast_ratio").rgb

    def contrast(one: str, two: str) -> float:
        return float(rgb(*(tuple(int(colour[at : at + 2], 16) / 255.0 for at in (1, 3, 5)) for colour in (one, two))))

    for text in (page.INK, page.PLAYED, page.FAULT):
        assert contrast(text, page.PAPER) >= 4.5
    assert contrast(page.GUIDE, page.PAPER) >= 3.0


def test_titles_are_text() -> None:
    """A title with angle brackets stays a title."""
    from dataclasses import replace

    tune = replace(make_tune(3, parts=1), title="<b>Bold & brave</b>")
    text = page_of([("<take>.mid", judge(tune, simulate(tune, LEARNERS["good"], 1).notes))])
    assert "<b>" not in text
    assert "&lt;b&gt;Bold &amp; brave" in text
