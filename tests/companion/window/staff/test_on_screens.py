"""The staff on the screens of the window: put away by a key, clicked, kept as a setting, made beside running frames."""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from pathlib import Path

import pygame
import pytest

from companion.lesson.model.steps import StepKind
from companion.schedule.spans import settled_s
from companion.score.staff.model import grace_id, note_id
from companion.sound.player import SilentPlayer
from companion.window.choosing_navigation import choose_tune
from companion.window.core.actions import Action, HearAlone, Scrub, Seek
from companion.window.core.display import Display, Notation, Print
from companion.window.core.marks import Arrow, Engraved, Frame, Picture, Role
from companion.window.core.screen import Canvas
from companion.window.paint.lettering import ending_fonts
from companion.window.paint.still import lettering_for
from companion.window.play.play_screen import PlayScreen
from companion.window.play.play_view import PlayView
from companion.window.play.settings.preferences import Preferences, read_preferences, write_preferences
from companion.window.shell import Shell, WindowSize
from companion.window.staff.maker import StaffMaker
from companion.window.staff.staff_marks import StaffShown
from companion.window.takes.take_screen import TakeScreen
from tests.companion.window import scenes
from tests.companion.window.classroom.class_scene import class_of
from tests.companion.window.lesson.lesson_scenes import step
from tests.companion.window.players import Clock
from tests.companion.window.staff.plain_staff import PlainStaff
from tests.companion.window.staff.staff_scenes import on_staff, review_on_staff
from tests.companion.window.takes.reviewing import THREE_SLIPS

SIZE = (1280, 720)
PATIENCE_S = 60.0


def canvas(print_size: Print = Print.NORMAL, size: tuple[int, int] = SIZE) -> Canvas:
    """A window."""
    display = Display(print=print_size)
    return Canvas(*size, display, lettering_for(size, display))


def has_staff(picture: Picture) -> bool:
    """Whether a line of staff is on a picture."""
    return any(isinstance(mark, Engraved) for mark in picture.still)


def playing() -> PlayScreen:
    """The playing screen with a staff, at its start."""
    return PlayScreen(scenes.state(), SilentPlayer(Clock()), choose_tune, staff=PlainStaff())


def line_of(screen: PlayScreen) -> StaffShown:
    """The line that the screen shows."""
    view, state, there = PlayView(canvas().measure), screen.state, canvas()
    layout = view.layout(state, there.display, *SIZE, staff=screen.staff)
    shown = view.staff_shown(state, there.display, layout, screen.position_s(), screen.staff)
    assert shown
    return shown


def test_a_tap_on_a_note_goes_there() -> None:
    """To the moment at which its fingers have arrived, be it a gracenote; a long press lets it be heard."""
    screen = playing()
    shown, schedule = line_of(screen), screen.state.schedule
    for index, event in enumerate(schedule.events[: len(shown.line.heads)]):
        rank = schedule.played[event.played].note.rank
        (head,) = shown.heads([note_id(rank) if event.grace is None else grace_id(rank, event.grace)])
        grab = screen.grab(head.x + head.width / 2, shown.y + 3.0, canvas())
        assert grab
        assert (grab.tap, grab.hold) == (
            Seek(settled_s(schedule, index)),
            HearAlone(settled_s(schedule, index), repeated=True),
        )
        screen.act(grab.tap)
        assert schedule.event_index_at(screen.position_s()) == index
        screen.act(Action.START)


def test_in_a_repeat_a_tap_stays_in_the_same_time_through() -> None:
    """The second time through a line a click on its first note goes to where that begins again."""
    screen = playing()
    schedule, start = screen.state.schedule, line_of(screen)
    again = next(place for place, each in enumerate(schedule.played) if place and each.note.rank == 0)
    screen.act(Seek(schedule.note_onsets_s[again] + 0.5))
    head = start.line.heads_of(note_id(0))[0]
    grab = screen.grab(start.x + head.x + 2.0, start.y + 30.0, canvas())
    assert grab
    screen.act(grab.tap)
    assert schedule.events[schedule.event_index_at(screen.position_s())].played == again


def test_a_drag_goes_from_note_to_note() -> None:
    """Through the tune, as a drag of the lanes does."""
    screen = playing()
    shown, schedule = line_of(screen), screen.state.schedule
    first, last = shown.heads([note_id(1)])[0], shown.heads([note_id(9)])[0]
    grab = screen.grab(first.x + 2.0, shown.y + 30.0, canvas())
    assert grab
    there = grab.drag(last.x + 2.0)
    assert isinstance(there, Scrub)
    event = schedule.events[schedule.event_index_at(there.time_s)]
    assert schedule.played[event.played].note.rank == 9


def test_beside_the_notes_nothing_is_taken_hold_of() -> None:
    """Neither at the clef nor where there is no line."""
    screen = playing()
    shown = line_of(screen)
    assert screen.grab(shown.x + 2.0, shown.y + 30.0, canvas()) is None
    screen.staff = None
    assert screen.grab(shown.x + 400.0, shown.y + 30.0, canvas()) is None


def test_one_key_puts_it_away_and_brings_it_back(monkeypatch: pytest.MonkeyPatch) -> None:
    """The sheet says which, and what is set."""
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    shell = Shell(playing(), Display(introduced=True), WindowSize(*SIZE))
    try:
        for shown in (True, False, True):
            assert shell.frame()
            assert shell.picture
            assert has_staff(shell.picture) == shown
            hint = next(each for each in shell.top.sheet(shell.display) if each.actions == (Action.NOTATION,))
            assert (hint.caps, hint.words) == ((",",), "staff shown" if shown else "no staff")
            pygame.event.post(pygame.event.Event(pygame.KEYDOWN, key=pygame.K_COMMA, unicode=",", mod=0, scancode=0))
            assert shell.frame()
    finally:
        shell.close()


def test_what_is_chosen_is_there_again_the_next_time(tmp_path: Path) -> None:
    """Whether there is a staff is kept; settings from before there was one show it."""
    path = tmp_path / "settings.json"
    away = Preferences(replace(Display(), notation=Notation.NONE))
    write_preferences(away, path)
    assert read_preferences(path) == away
    path.write_text(path.read_text().replace('"notation": "NONE"', '"other": 1'))
    assert read_preferences(path).display.notation is Notation.STAFF


@pytest.mark.parametrize("kind", [StepKind.EMBELLISHMENT, StepKind.PHRASE, StepKind.WHOLE])
def test_a_step_of_a_lesson_shows_its_staff(kind: StepKind) -> None:
    """Of what it plays, be it an embellishment alone."""
    assert has_staff(on_staff(lambda: step(kind)).picture(canvas()))


def test_by_heart_hides_it() -> None:
    """Before it is played, while it is, and after."""
    for plays in (False, True):
        assert not has_staff(on_staff(partial(step, StepKind.BY_HEART, plays=plays)).picture(canvas()))


def test_a_class_sees_it_where_there_is_room() -> None:
    """One phrase in big print; not while eyes are to come to the teacher, nor in a small window."""
    assert has_staff(on_staff(lambda: class_of(4)).picture(canvas(Print.BIG)))
    assert not has_staff(on_staff(lambda: class_of(4, Action.HIDE)).picture(canvas(Print.BIG)))
    assert not has_staff(on_staff(lambda: class_of(4)).picture(canvas(Print.BIG, (800, 600))))


def marked(screen: TakeScreen) -> tuple[list[float], list[float]]:
    """The x of the frames and of the quiet arrows on the staff of a take in review."""
    picture = screen.picture(canvas())
    staff = next(mark for mark in picture.still if isinstance(mark, Engraved))
    bottom = staff.y + staff.part.height
    frames = [mark for mark in picture.moving if isinstance(mark, Frame) and mark.rect.y < bottom]
    arrows = [mark for mark in picture.moving if isinstance(mark, Arrow) and mark.y < bottom and mark.role is Role.PAST]
    return [frame.rect.x + frame.rect.width / 2 for frame in frames if frame.role is Role.FAULT], [a.x for a in arrows]


def test_findings_of_a_take_stand_on_the_staff_of_what_was_asked() -> None:
    """That of the marked thing to mend at its note, with a frame; going to another place shows the line with that."""
    screen = review_on_staff(THREE_SLIPS)
    review = screen.state.review
    assert review
    seen = set()
    for rank in range(len(review.matters)):
        frames, _ = marked(screen)
        assert frames
        finding = review.findings[screen.state.lit[0]]
        beside = screen.state.beside
        assert beside
        view, there = screen._view_for(canvas()), canvas()
        layout = view.layout(screen.state, there.display, *SIZE, screen._staff)
        shown = view._staff_shown(beside, there.display, layout, screen.position_s(), screen._staff)
        assert shown
        (head,) = shown.heads([note_id(finding.note)])
        assert head.x + head.width / 2 == pytest.approx(frames[0], abs=0.01)
        seen.add((rank, shown.once.first))
        screen.act(Action.TEMPO_DOWN)
    assert len({first for _, first in seen}) > 1


def test_a_tap_on_the_staff_of_a_take_goes_to_where_it_was_played() -> None:
    """At the take's own time."""
    screen = review_on_staff(THREE_SLIPS)
    there, at = canvas(), None
    picture = screen.picture(there)
    staff = next(mark for mark in picture.still if isinstance(mark, Engraved))
    grab = screen.grab(staff.x + staff.part.width * 0.5, staff.y + 20.0, there)
    assert grab
    assert isinstance(grab.tap, Seek)
    at = grab.tap.time_s
    screen.act(grab.tap)
    assert screen.position_s() == pytest.approx(at, abs=1e-6)


@pytest.fixture
def maker() -> Iterator[StaffMaker]:
    """A process that engraves; it is gone afterwards."""
    made = StaffMaker(ending_fonts())
    yield made
    made.close()


def test_a_window_goes_on_while_the_staff_is_made(maker: StaffMaker, monkeypatch: pytest.MonkeyPatch) -> None:
    """Real frames, drawn to memory: first the room for a line, then the line in it, and nothing else moves."""
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    screen = PlayScreen(scenes.state(), SilentPlayer(Clock()), choose_tune, staff=maker)
    shell = Shell(screen, Display(introduced=True), WindowSize(*SIZE))
    try:
        shell.draw()
        assert shell.picture
        before = shell.picture
        assert not has_staff(before)
        maker.begin()
        until_s = time.monotonic() + PATIENCE_S
        while not has_staff(shell.picture):
            assert shell.frame()
            assert shell.picture
            assert time.monotonic() < until_s
            time.sleep(0.005)
        added = [mark for mark in shell.picture.still if not isinstance(mark, Engraved)]
        assert added == list(before.still)
        assert shell.picture.moving[-len(before.moving) :] == before.moving
    finally:
        shell.close()
