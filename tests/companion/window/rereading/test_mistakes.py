"""A file that was changed and has a mistake in it, or goes away: that is told, and what was read stays."""

from __future__ import annotations

import pytest

from companion.files.lines import one_line
from tests.companion.window.rereading.editing import BARS, Open, changed, text


def test_a_mistake_is_shown_with_its_place_and_the_last_good_picture_stays(opened: Open) -> None:
    """What and what to do, until it is mended; then it goes, and the tune follows."""
    window = opened(text())
    before = window.state.tune
    window.write(changed(3, "{gef2e2 c2"))
    assert window.state.tune is before
    (line,) = [line for line in window.rereading.trouble.splitlines() if line]
    assert line.startswith("nets.abc:7:")
    assert "brace" in line
    assert "read again" not in window.words()
    assert "nets.abc:7:" in window.words()
    window.frames(200)
    assert window.rereading.trouble == line
    window.write(changed(3, "{gef}e2 f2"))
    assert window.rereading.trouble == ""
    assert "nets.abc:7" not in window.words()
    assert "bar 3 changed" in window.words()


def test_of_several_mistakes_the_first_is_shown_and_how_many_more(opened: Open) -> None:
    """In the order of the file."""
    window = opened(text())
    window.write(changed(3, "{gefe2 c2").replace("B2", "}B2").replace("f2", "{h}f2"))
    assert window.rereading.trouble.startswith("nets.abc:7:")
    assert "more): " in window.rereading.trouble


def test_a_mistake_that_was_there_before_holds_nothing_up(opened: Open) -> None:
    """It is marked at its bar as ever, and all else follows."""
    window = opened(changed(3, "{gefe2 c2"))
    (unread,) = window.state.unread
    assert unread.bar == 2
    window.write(text("f2 f2", *BARS[:2], "{gefe2 c2", *BARS[3:]))
    assert window.rereading.trouble == ""
    (unread,) = window.state.unread
    assert unread.bar == 3
    window.write(text())
    assert window.state.unread == ()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("no music at all\n", "nets.abc:1:1: this is not ABC"),
        ("\x00\x01\x02" * 99, "nets.abc"),
        (text(number=2, title="Another") + "\n" + text(number=3, title="A third"), "is not in this file any more"),
        ("", "nets.abc"),
    ],
)
def test_a_file_that_holds_the_tune_no_more_is_a_mistake(opened: Open, words: str, said: str) -> None:
    """What was read stays, and plays on."""
    window = opened(text())
    before = window.state.tune
    window.editor.write(words)
    window.frames(60)
    assert said in window.rereading.trouble
    assert window.rereading.trouble == one_line(window.rereading.trouble)
    assert window.state.tune is before
    window.write(changed(1, "f2 f2"))
    assert window.rereading.trouble == ""
    assert "bar 1 changed" in window.words()


def test_a_question_of_a_piper_is_told_only_when_it_is_new(opened: Open) -> None:
    """Beside what changed; one that was there before is not."""
    window = opened(text())
    window.write(changed(6, "{g}e2 e2"))
    assert "with nothing between them" in window.screen.news
    assert window.rereading.trouble == ""
    window.write(text("f2 c2", *BARS[1:5], "{g}e2 e2"))
    assert window.screen.news == "read again 12:03:44: bar 1 changed"


def test_a_file_that_goes_away_is_said_once_and_what_was_read_stays(opened: Open) -> None:
    """A file that goes away is said once, and no more once it is back."""
    window = opened(text())
    aside = window.editor.path.with_suffix(".old")
    window.editor.path.rename(aside)
    window.frames(30)
    assert "gone" not in window.words()
    window.frames(30)
    assert "nets.abc is gone; what was read of it stays" in window.words()
    assert window.state.playing
    aside.rename(window.editor.path)
    window.settle()
    assert "gone" not in window.words()
    assert window.state.tune.title == "Nets"


def test_a_tune_that_is_kept_as_low_as_it_is_written_goes_on_so(opened: Open) -> None:
    """How many of its notes no chanter has is no new mistake."""
    window = opened(text("A2 C2", "E2 c2", "A2 e2"))
    window.write(text("A2 C2", "E2 D2", "A2 f2"))
    assert window.rereading.trouble == ""
    assert "bars 2 and 3 changed" in window.words()
    assert len(window.state.unread) == 1
