"""The page for a teacher: whole, without scripts, readable by everyone."""

from __future__ import annotations

import re
from dataclasses import replace
from html.parser import HTMLParser
from xml.etree import ElementTree

import pytest

from companion.commands.judge import paper_colours
from companion.listen.judgement import Judgement, judge
from companion.listen.model.played import Sounded
from companion.listen.report.class_table import Result, table_text
from companion.listen.report.page import page_of
from companion.listen.report.page_lines import LINE_S, TakeLanes, lines_of
from companion.listen.verdict.matter.drills import Drill
from companion.listen.verdict.verdict import Matter
from companion.schedule.events import EventKind
from fingering.errors import UserError
from tests.companion.listen.playing import FOUR_BARS, asked_of, played_as, tune_of
from tests.companion.listen.verdict.takes import STEADY, judged
from tests.learners.player import simulate
from tests.learners.tunes import make_tune
from tests.referees import require_module


@pytest.fixture(scope="module")
def html() -> str:
    """The page of a stumbling learner."""
    return page_of([Result("take.mid", judged("stumbling"))], paper_colours())


def test_it_is_well_formed_and_in_a_language(html: str) -> None:
    """An XML parser reads it, tags closed and all."""
    root = ElementTree.fromstring(
        html.removeprefix("<!DOCTYPE html>\n")
        .replace('<meta charset="utf-8">', "")
        .replace('<meta name="viewport" content="width=device-width, initial-scale=1">', "")
    )
    assert root.attrib["lang"] == "en"
    assert root.find("./body/main/h1") is not None
    assert root.find("./body/main/section/h2") is not None


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

    colours = paper_colours()
    for text in (colours.ink, colours.quiet, colours.played, colours.fault):
        assert contrast(text, colours.ground) >= 4.5
    for mark in (colours.guide, colours.past):
        assert contrast(mark, colours.ground) >= 3.0


def test_titles_are_text() -> None:
    """A title with angle brackets stays a title."""
    tune = replace(make_tune(3, parts=1), title="<b>Bold & brave</b>")
    judgement = judge(tune, simulate(tune, STEADY, 1).notes)
    text = page_of([Result("<take>.mid", judgement)], paper_colours())
    assert "<b>" not in text
    assert "&lt;b&gt;Bold &amp; brave" in text


HOSTILE = (
    "</title></h1><script>alert(1)</script>",
    "'\"><img src=x onerror=alert(1)>",
    "{{ 7 * 7 }} {% include 'page.html' %} {# gone #}",
    "&lt;b&gt; &amp; \u202e\ud800",
)


class Reader(HTMLParser):
    """The elements of a page and its words by the element that holds them, as a browser would read it."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.elements: list[str] = []
        self.attributes: set[str] = set()
        self.words: dict[str, list[str]] = {}
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Take note of an element."""
        self.elements.append(tag)
        self.attributes |= {name for name, _ in attrs}
        self.words.setdefault(tag, []).append("")

    def handle_data(self, data: str) -> None:
        """Give words to the element that began last."""
        if self.elements:
            self.words[self.elements[-1]][-1] += data


@pytest.mark.parametrize("words", HOSTILE)
def test_what_a_page_is_told_is_text(words: str) -> None:
    """Titles, names of takes, reasons and sentences say themselves, whatever they hold, and nothing more is on the page
    than if they were harmless.
    """

    def page(told: str) -> Reader:
        judgement = perfect()
        matter = Matter((), Drill(told, 1, 2, 2.0), told)
        verdict = replace(judgement.verdict, title=told, went_well=(told,), not_judged=(told,), matters=(matter,))
        judgement = replace(judgement, verdict=verdict, findings=(replace(found, text=told),))
        results = [Result(told, judgement), Result(told, None, UserError(told, told))]
        return Reader(page_of(results, paper_colours()))

    found = judged("stumbling").findings[0]
    harmless, hostile = page("harmless"), page(words)
    assert hostile.elements == harmless.elements
    assert hostile.attributes == harmless.attributes
    assert hostile.words == {
        element: [text.replace("harmless", words) for text in texts] for element, texts in harmless.words.items()
    }
    assert {element for element, texts in hostile.words.items() if any(words in text for text in texts)} == {
        *("title", "h1", "h2", "th", "td", "li", "span", "a")
    }


def perfect() -> Judgement:
    """Four bars played as asked, from 1 s on."""
    return judge(tune_of(FOUR_BARS), played_as(asked_of(FOUR_BARS)))


def test_bars_and_times_can_be_found() -> None:
    """Every bar has its number in the pictures, and the seconds stand below: the four bars last from 1 s to 17 s."""
    html = page_of([Result("take.mid", perfect())], paper_colours())
    assert [f"bar {number}" in html for number in range(6)] == [False, True, True, True, True, False]
    assert {f"0:{second:02d}" for second in range(1, 17)} <= set(re.findall(r">(\d:\d\d)</text>", html))


def test_what_was_asked_lies_where_it_was_played() -> None:
    """A take exactly as asked, once as slow: asked and played hole states are the same throughout, gracenotes too."""
    judgement = perfect()
    lanes = TakeLanes.of(judgement)
    for event in lanes.heard.events:
        middle_s = (event.start_s + event.end_s) / 2.0
        asked, played = (
            next(span for span in spans if span.start_s <= middle_s < span.end_s)
            for spans in (lanes.asked, lanes.played)
        )
        assert event.kind is not EventKind.REST
        assert asked.state == played.state
        assert abs(event.start_s - played.start_s) < 0.005


def test_lines_follow_each_other_and_break_at_bar_lines_or_beats() -> None:
    """Every finding is in one of them."""
    judgement = judged("stumbling")
    lanes = TakeLanes.of(judgement)
    lines = list(lines_of(judgement, lanes))
    beats = {beat.at_s for beat in lanes.heard.beats}
    assert all(0.0 < line.end_s - line.begin_s < LINE_S + 1e-6 for line in lines)
    assert sum(line.end_s in beats for line in lines) > 0.8 * len(lines)
    assert [number for line in lines for number in line.findings] == list(range(len(judgement.findings)))


def test_a_class_has_a_table_with_links_and_reasons() -> None:
    """Refused takes stand in it with why; the others lead to their sections."""
    refusal = UserError("nothing was played in this take", "record it again")
    html = page_of(
        [Result("one", perfect()), Result("two", None, refusal), Result("three", perfect())], paper_colours()
    )
    table = html[html.index("<table>") : html.index("</table>")]
    assert re.findall(r'href="#(t\d)"', table) == ["t1", "t3"]
    assert "nothing was played in this take; record it again" in table
    assert re.findall(r'<section id="(t\d)">', html) == ["t1", "t3"]


def test_the_table_as_text_has_its_columns_below_each_other() -> None:
    """Names to the left, counts to the right, and last what to mend first, or why a take was not judged.

    The four bars have 24 notes and 31 gracenotes, so that fingers move 54 times (counted by hand).
    """
    refusal = UserError("nothing was played in this take", "record it again")
    assert table_text([Result("one.mid", perfect()), Result("two", None, refusal)]).split("\n") == [
        "take     tempo     notes  gracenotes  movements  findings  to mend first",
        "one.mid     60  24 of 24    31 of 31   54 of 54         0  nothing",
        "two      nothing was played in this take; record it again",
    ]


def test_each_finding_leads_to_its_picture(html: str) -> None:
    """Pictures are counted from 1, as findings are."""
    judgement = judged("stumbling")
    lines = lines_of(judgement, TakeLanes.of(judgement))
    of_findings = [str(place) for place, line in enumerate(lines, start=1) for _ in line.findings]
    assert re.findall(r'<li id="t1f\d+">.*?href="#t1l(\d+)"', html, re.DOTALL) == of_findings


def test_fingers_that_were_not_told_are_called_likely(html: str) -> None:
    """A take of notes has its fingers worked out; one of hole states tells its own."""
    assert "tells notes, not fingers" in html
    tune = make_tune(3, parts=1)
    held = judge(tune, simulate(tune, STEADY, 1).holes)
    assert "tells notes, not fingers" not in page_of([Result("held.mid", held)], paper_colours())


def test_a_note_held_to_the_end_is_drawn_to_the_end() -> None:
    """The take's last silence ends it."""
    judgement = perfect()
    assert isinstance(judgement.events[-1], Sounded)
    assert TakeLanes.of(judgement).played[-1].end_s == judgement.events[-1].at_s
