"""A tune whose file is changed while it plays goes on in place, and a mistake leaves it as it was."""

from __future__ import annotations

from pathlib import Path

import pygame
import pytest

from companion.midi.stream.line import Timed
from companion.midi.takes.reading import list_takes
from companion.schedule.spans import Extent, Span
from companion.schedule.stretch import Stretch
from companion.window.choose.choose_screen import ChooseScreen
from companion.window.core.actions import Action, RepeatBetween, Seek
from companion.window.lesson.lesson_screen import LessonScreen
from companion.window.rereading.rereading import SHOWN_S
from tests.companion.window.choose.choosing import names
from tests.companion.window.players import notes_of
from tests.companion.window.rereading.editing import BARS, FRAME_S, Open, changed, text

pytestmark = pytest.mark.same_everywhere


def test_what_is_written_is_what_plays(opened: Open) -> None:
    """At once, in the same place, and one calm line says which bar changed; it goes by itself."""
    window = opened(text())
    window.tune_clock.now_s = 2.7
    window.write(changed(5, "e2 a2"))
    assert [note.note.letter for note in window.state.tune.bars[4].notes if note.note is not None] == ["e", "a"]
    assert window.state.playing
    assert window.screen.position_s() == pytest.approx(2.7)
    assert "read again 12:03:44: bar 5 changed" in window.words()
    assert window.rereading.trouble == ""
    window.frames(round(SHOWN_S / FRAME_S))
    assert "read again" not in window.words()


def test_bars_that_come_before_the_place_move_it_along(opened: Open) -> None:
    """After bars are added before it, the bar that played plays on, and what follows goes on to the end."""
    window = opened(text())
    window.tune_clock.now_s = 4.5
    window.write(text("f2 f2", "g2 f2", *BARS))
    assert window.screen.position_s() == pytest.approx(8.5)
    assert "bars 1 and 2 are new" in window.words()
    window.tune_clock.now_s += 1.0
    assert window.screen.position_s() == pytest.approx(9.5)


def test_a_movement_that_is_looked_at_stays(opened: Open) -> None:
    """A tune that stands, four times slower, at a gracenote."""
    window = opened(text(), slow_down=4.0, playing=False)
    for _ in range(9):
        window.screen.act(Action.ON)
    stood = window.state.schedule.states[window.state.schedule.state_index_at(window.state.position_s)]
    window.write(text("f3/2 f5/2", *BARS))
    stands = window.state.schedule.states[window.state.schedule.state_index_at(window.state.position_s)]
    assert stands.at_s == window.state.position_s
    assert (stands.state, stands.sounds, stands.kind) == (stood.state, stood.sounds, stood.kind)
    assert not window.state.playing


def test_what_is_set_stays(opened: Open) -> None:
    """Slow-down, a tempo that was chosen, levels, theme; a tempo that was not follows the file."""
    window = opened(text(), slow_down=2.0)
    window.write(text().replace("1/4=60", "1/4=80"))
    assert window.state.beats_per_minute == 80.0
    assert "the tempo changed" in window.words()
    window.screen.act(Action.TEMPO_UP)
    window.screen.act(Action.DRONES)
    sound, timing = window.state.sound, window.state.timing
    window.write(text().replace("1/4=60", "1/4=90"))
    assert (window.state.sound, window.state.timing) == (sound, timing)
    assert window.state.beats_per_minute == 82.0


def test_what_is_repeated_stays_as_far_as_it_is_still_there(opened: Open) -> None:
    """Marked by hand, or to an extent; where it is gone, what lies around the place is repeated."""
    window = opened(text())
    window.screen.act(RepeatBetween(2.1, 5.9))
    assert window.state.stretch == Stretch(2, 6)
    window.write(text("f2 f2", *BARS))
    assert window.state.stretch == Stretch(4, 8)
    assert window.state.marked
    window.screen.act(Action.REPEAT)
    window.screen.act(Seek(6.5))
    while window.state.extent is not Extent.BAR:
        window.screen.act(Action.REPEAT)
    assert window.state.span == Span(6.0, 8.0)
    window.write(text())
    assert window.state.span == Span(4.0, 6.0)
    window.screen.act(RepeatBetween(4.1, 7.9))
    window.write(text(*BARS[:2], *BARS[4:]))
    assert not window.state.marked
    assert window.state.span == Span(4.0, 6.0)
    assert window.screen.position_s() == pytest.approx(4.0)


def test_a_take_in_hand_ends_and_is_kept(opened: Open, tmp_path: Path) -> None:
    """What is played after the change is another take, of the tune as it is now."""
    window = opened(text())
    notes = [each for each in notes_of(window.state.schedule) if each.at_s < 4.0]

    def play(until_s: float) -> None:
        while window.tune_clock.now_s < until_s:
            window.tune_clock.now_s += 0.1
            while notes and notes[0].at_s <= window.tune_clock.now_s:
                window.feed.play(Timed(notes[0].at_s, notes.pop(0).message))
            window.frames()

    play(2.0)
    assert window.live.keeping
    window.write(changed(6, "{g}c4"))
    play(4.0)
    window.live.finish_takes()
    takes = list_takes(tmp_path / "takes").takes
    assert len(takes) == 2
    contents = {take.heading.tune.content for take in takes if take.heading.tune}
    assert len(contents) == 2


def test_the_same_tune_of_a_book_goes_on_though_it_is_numbered_anew(opened: Open) -> None:
    """All tunes of the book are those of now, in the list too."""
    titles = ("First", "Second", "Third")
    book = [text(number=rank, title=title) for rank, title in enumerate(titles, 1)]
    window = opened("\n".join(book), number=2)
    assert window.state.tune.title == "Second"
    added = text("f4", number=1, title="Added")
    moved = [text(*BARS[:5], "{g}f4", number=rank, title=title) for rank, title in enumerate(titles, 2)]
    window.write("\n".join([added, *moved]))
    assert (window.state.tune.title, window.state.tune.reference) == ("Second", "3")
    assert "read again 12:03:44: bar 6 changed" in window.words()
    assert [tune.title for tune in window.state.tunes][:4] == ["Added", *titles]
    listed = window.screen.chooser(window.screen, None)
    assert isinstance(listed, ChooseScreen)
    assert names(listed) == ["all tunes", "Added", *titles]
    assert listed.state.marked is not None
    assert listed.state.marked.name == "Second"


def test_a_change_of_another_tune_in_the_book_leaves_this_one_in_peace(opened: Open) -> None:
    """It is said that its music is as it was."""
    window = opened(text() + "\n" + text(number=2, title="Other"))
    window.tune_clock.now_s = 2.7
    window.write(text() + "\n" + text("f4", number=2, title="Other"))
    assert window.screen.position_s() == pytest.approx(2.7)
    assert window.screen.news == "read again 12:03:44: the music is as it was"


def test_a_tune_of_a_set_goes_on_in_it(opened: Open) -> None:
    """Which of them changed is said; the place in the set stays."""
    window = opened(text() + "\n" + text(number=2, title="Other"))
    window.screen.change_set(window.state.tunes[1])
    window.tune_clock.now_s = 13.0
    book = text("f4", *BARS[1:]) + "\n" + text("A4", *BARS[1:], number=2, title="Other")
    window.write(book)
    assert [tune.title for tune in window.state.row] == ["Nets", "Other"]
    assert window.state.tune.title == "Nets / Other"
    assert window.screen.position_s() == pytest.approx(13.0)
    assert window.screen.news == "read again 12:03:44: Nets: bar 1 changed; Other: bar 1 changed"


def test_a_tune_of_ours_in_the_set_is_left_alone(opened: Open) -> None:
    """Its file is none that was opened."""
    window = opened(text())
    ours = window.state.tunes[-1]
    window.screen.change_set(ours)
    window.write(changed(2, "f4"))
    assert window.state.row[1] is ours
    assert window.state.tune.bars[1].notes[0].duration == window.state.row[0].bars[1].notes[0].duration


def test_a_transposed_tune_is_read_again_transposed(opened: Open) -> None:
    """As it was chosen when it was opened; it is not asked again."""
    low = "A,2 C2|E2 C2|G,2 B,2|]\n"
    window = opened(f"X:1\nT:Low\nM:2/4\nL:1/8\nK:HP\n{low}")
    window.screen.act(Action.PLAY)
    window.shell.put(window.screen.choose_at(str(window.editor.path)))
    window.settle()
    window.press(pygame.K_RETURN)
    assert window.shell.top is window.screen
    letters = [note.note.letter for note in window.state.tune.notes if note.note is not None]
    assert letters == ["A", "c", "e", "c", "G", "B"]
    window.write(f"X:1\nT:Low\nM:2/4\nL:1/8\nK:HP\n{low.replace('G,', 'E')}")
    letters = [note.note.letter for note in window.state.tune.notes if note.note is not None]
    assert letters == ["A", "c", "e", "c", "e", "B"]
    assert "bar 3 changed" in window.words()


def test_a_file_that_is_read_higher_is_read_again_as_high(opened: Open) -> None:
    """As the one who opened it wished."""
    low = text("A,2 C2", "E2 C2").replace("HP", "A")
    window = opened(low, transpose=12)
    window.write(low.replace("E2", "F2"))
    letters = [note.note.letter for note in window.state.tune.notes if note.note is not None]
    assert letters == ["A", "c", "f", "c"]
    assert window.rereading.trouble == ""


def test_what_lies_over_the_tune_stays_as_it_is_and_says_so(opened: Open) -> None:
    """A lesson has the player, and is of the tune as it was; afterwards the tune follows."""
    window = opened(text())
    before = window.state.tune
    lesson = window.screen.act(Action.LESSON)
    assert isinstance(lesson, LessonScreen)
    window.shell.put(lesson)
    window.write(changed(5, "e2 a2"))
    assert window.state.tune is before
    assert window.rereading.trouble.startswith("nets.abc has changed since")
    assert "nets.abc has changed since" in window.words()
    window.press(pygame.K_ESCAPE)
    assert window.shell.top is window.screen
    assert window.rereading.trouble == ""
    assert "bar 5 changed" in window.words()
    assert window.state.playing


def test_another_tune_that_is_chosen_meanwhile_is_the_one_that_is_read_again(opened: Open) -> None:
    """The list is as it was when it was opened, and its tunes too; what is chosen plays as it is now."""
    window = opened(text() + "\n" + text(number=2, title="Other"))
    window.shell.put(window.screen.chooser(window.screen, None))
    window.write(text() + "\n" + text("f4", number=2, title="Other"))
    for letter in "other":
        window.press(ord(letter), letter)
    window.press(pygame.K_RETURN)
    window.settle()
    assert window.state.tune.title == "Other"
    assert len(window.state.tune.bars) == 1
    assert "gone" in window.screen.news


def test_while_a_change_waits_the_list_offers_to_read_it_again(opened: Open) -> None:
    """As it does of a file that cannot be played any more; one that was read is as it is."""
    window = opened(text() + "\n" + text(number=2, title="Other"))
    window.write("nothing\n")
    listed = window.screen.chooser(window.screen, None)
    assert isinstance(listed, ChooseScreen)
    assert names(listed)[:2] == ["all tunes", "read it again"]
    window.write(text() + "\n" + text("f4", number=2, title="Other"))
    listed = window.screen.chooser(window.screen, None)
    assert isinstance(listed, ChooseScreen)
    assert "read it again" not in names(listed)
