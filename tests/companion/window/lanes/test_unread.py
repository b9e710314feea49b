"""What could not be read of a tune is shown at its bar."""

from __future__ import annotations

from pathlib import Path

import pytest

from companion.commands.shared.tune_list import tune_list_for
from companion.schedule.timing import Timing
from companion.score.abc import read_abc_text
from companion.window.core.display import Display, Print
from companion.window.core.marks import Frame, Picture, Role, Rule
from companion.window.lanes.played_in import PlayedIn
from companion.window.lanes.unread import Unread, unread_bars
from companion.window.play.play_state import PlayState, first_state, open_tune
from companion.window.play.play_view import PlayView
from companion.window.program import Opening, play_screen
from tests.companion.window import scenes
from tests.companion.window.lettered import lettering_for

HEAD = "X:1\nT:Torn Net\nM:4/4\nL:1/8\nQ:1/4=60\nK:HP\n"
MUSIC = 'A2 B2 c2 d2|e2 "loud f2 g2 a2|A2 B2 c2 d2|{gA2 B2 c2 d2|A2 b2 c2 d2|e2 f2 g2 a2|]\n'
FAULTS = {
    1: "Bar 2: a quotation mark is not closed.",
    3: "Bar 4: a brace of gracenotes is not closed.",
    4: "Bar 5: no chanter has the note 'b' under K:HP.",
}
BAR_S = 4.0


def torn() -> PlayState:
    """The playing screen on that tune, each of its bars 4 s long but the second, of which 3 s are lost."""
    book = read_abc_text(HEAD + MUSIC)
    tune = book.tunes[0]
    return open_tune(first_state((tune,), tune, Timing()), tune, book.problems_of(tune))


def picture(
    state: PlayState, at_s: float, size: tuple[int, int] = (1280, 720), display: Display | None = None
) -> Picture:
    """The playing screen at that moment."""
    shown = display or Display()
    return PlayView(lettering_for(size, shown)).picture(state, shown, at_s, *size)


def start_s(state: PlayState, turn: int) -> float:
    """When a bar begins."""
    return next(
        onset_s
        for played, onset_s in zip(state.schedule.played, state.schedule.note_onsets_s, strict=True)
        if played.turn == turn
    )


def told(shown: Picture) -> list[str]:
    """What is said in words that could not be read."""
    return [label.text for label in scenes.labels(shown) if label.text.startswith("Bar ")]


def test_every_fault_is_told_by_its_bar() -> None:
    """In a plain sentence, without what to do or what becomes of it."""
    assert {each.bar: each.sentence for each in torn().unread} == FAULTS


@pytest.mark.parametrize(
    ("music", "bars"),
    [
        ("A2|{gB2 c2|d2|\n", [1]),
        ("A2 B2}|c2|\n", [0]),
        ("A2|{" + "ABcdefga" * 20 + "}A2|B2|\n", [1]),
        ('A2|"x B2|c2|\n', [0]),
        ("A2 B2|c2 d2|A2 w3|\n", [2]),
        ("A2 B2|c2 d2|\n", []),
    ],
)
def test_a_fault_belongs_to_the_bar_in_which_it_stands(music: str, bars: list[int]) -> None:
    """What stands before a bar's first note, to that note's; a bar that was lost whole, to the one before."""
    book = read_abc_text(HEAD.replace("M:4/4\n", "") + music)
    tune = book.tunes[0]
    assert [each.bar for each in unread_bars(tune, book.problems_of(tune))] == bars


def test_several_faults_of_a_bar_are_counted() -> None:
    """The first is told."""
    book = read_abc_text(HEAD + "A2 w3 w4 c2|\n")
    (unread,) = unread_bars(book.tunes[0], book.problems_of(book.tunes[0]))
    assert unread == Unread(0, "Bar 1: 'w' is neither a note nor a symbol (and 1 more).")


def test_a_pick_up_is_told_by_its_name() -> None:
    """Nobody counts a bar 0."""
    book = read_abc_text(HEAD + "w3 A2|c2 d2 e2 f2|]\n")
    (unread,) = unread_bars(book.tunes[0], book.problems_of(book.tunes[0]))
    assert unread.sentence == "The pick-up: 'w' is neither a note nor a symbol."


def test_a_fault_is_told_near_its_bar_only() -> None:
    """From the beginning of the bar before until its own end."""
    state = torn()
    for bar, sentence in FAULTS.items():
        begin_s, end_s = start_s(state, bar), start_s(state, bar + 1)
        for at_s in (begin_s, (begin_s + end_s) / 2, end_s - 0.01):
            assert told(picture(state, at_s)) == [sentence]
    assert told(picture(state, 0.1)) == [FAULTS[1]]
    assert told(picture(state, start_s(state, 2) + 0.1)) == [FAULTS[3]]
    assert told(picture(state, start_s(state, 5) + 0.1)) == []


def test_a_mark_stands_at_the_bar_by_its_shape() -> None:
    """A dashed stroke through all lanes and a ringed question mark below, where the bar line is; gone out of sight."""
    state = torn()
    shown = picture(state, start_s(state, 1) - 0.5)
    dashes = [mark for mark in shown.moving if isinstance(mark, Rule) and mark.role is Role.FAULT]
    (sign,) = (label for label in scenes.labels(shown) if label.text == "?")
    assert len(dashes) > 5
    assert {mark.x0 for mark in dashes} == {mark.x1 for mark in dashes} == {sign.x}
    rings = [mark for mark in shown.moving if isinstance(mark, Frame) and mark.rect.holds(sign.x, sign.y)]
    assert len(rings) == 1
    bar_lines = [mark.x0 for mark in shown.moving if isinstance(mark, Rule) and mark.role is Role.HAIR]
    assert any(abs(x - sign.x) < 0.01 for x in bar_lines)
    assert not any(label.text == "?" for label in scenes.labels(picture(state, start_s(state, 5) + 3.9)))


@pytest.mark.parametrize("size", scenes.SIZES)
@pytest.mark.parametrize("print_", Print)
def test_the_sentence_and_the_mark_meet_no_other_words(size: tuple[int, int], print_: Print) -> None:
    """And the sentence is never cut off."""
    state, display = torn(), Display(print=print_)
    lettering = lettering_for(size, display)
    for bar, sentence in FAULTS.items():
        for before_s in (1.5, 0.7, 0.0, -0.4) if bar < 4 else (0.0, -0.4):  # the bar before the last has its own
            shown = picture(state, start_s(state, bar) - before_s, size, display)
            assert sentence in told(shown)
            assert sentence in [label.text for label, _ in scenes.assert_apart(shown, lettering)]


def test_what_is_wrong_with_an_instrument_comes_first() -> None:
    """Since nothing can be played in until it is mended."""
    state = torn()
    played = PlayedIn(problem="the chanter is gone")
    shown = PlayView(lettering_for((1280, 720), Display())).picture(
        state, Display(), start_s(state, 1), 1280, 720, played
    )
    assert told(shown) == []


def test_a_file_that_is_named_shows_it_too(tmp_path: Path) -> None:
    """As the window opens on it."""
    path = tmp_path / "torn.abc"
    path.write_text(HEAD + MUSIC)
    tunes = tune_list_for(str(path), None)
    screen = play_screen(Opening(tunes.tunes, tunes.first, book=tunes.book, ours=tunes.ours))
    assert [each.bar for each in screen.state.unread] == [1, 3, 4]
    screen.close()
