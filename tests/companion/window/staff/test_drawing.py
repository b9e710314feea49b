"""A line as pixels: engraved by Verovio, drawn by resvg, as the picture shows it."""

from __future__ import annotations

import builtins
from collections.abc import Mapping
from typing import Any

import numpy as np
import numpy.typing as npt
import pygame
import pytest

from companion.schedule.timing import Timing
from companion.score.abc import read_abc_text
from companion.window.core.display import Display
from companion.window.core.marks import Engraved, InkMask, Rect, Role
from companion.window.core.theme import THEMES, Theme
from companion.window.paint.lettering import ending_fonts
from companion.window.paint.still import lettering_for, paint_still
from companion.window.play.play_state import first_state
from companion.window.play.play_view import PlayView
from companion.window.staff.cuts import StaffCut
from companion.window.staff.drawing import StaffAtOnce, draw_line
from companion.window.staff.staff_line import EngravedLine, StaffRoom
from tests.companion.window import scenes
from tests.companion.window.standing import engraver
from tests.referees import require_module

SIZE = (800, 600)
INK = 200
"""What covers a pixel by so much of 255 is ink."""

HEAD = "X:1\nT:Ours\nM:none\nL:1/8\nK:HP\n"
THICK = "{GdGeAfA}e{gAGAG}A{GdGe}A{gBd}B"


def room(width: int = 758, height: int = 80) -> StaffRoom:
    """The room of a line."""
    return StaffRoom.of(Rect(0.0, 0.0, width, height))


def line(width: int = 758, height: int = 80) -> EngravedLine:
    """The line of the scenes' tune."""
    return draw_line(scenes.tune(), StaffCut(0, 3), room(width, height))


def inked(mask: InkMask, ink: bytes) -> npt.NDArray[np.bool_]:
    """Where ink is, row by row."""
    return np.frombuffer(ink, np.uint8).reshape(mask.height, mask.width) > INK


@pytest.mark.parametrize("height", [68, 80, 97, 154])
def test_the_five_lines_stand_on_whole_pixels_as_far_apart_as_told(height: int) -> None:
    """So that none is blurred or thicker than the others."""
    drawn = line(1213, height)
    ink = np.frombuffer(drawn.mask.lines, np.uint8).reshape(drawn.mask.height, drawn.mask.width)
    rows = np.flatnonzero(ink.any(axis=1))
    assert ((ink[rows] == 255).mean(axis=1) > 0.5).all()  # but for what notes cover
    tops = [int(row) for row in rows if row - 1 not in rows]
    assert tops == [tops[0] + place * drawn.space for place in range(5)]
    assert abs(tops[0] - drawn.top) <= 1


def test_ink_stands_where_the_heads_are_told() -> None:
    """Most of each note head is ink, and of gracenotes too."""
    drawn = line(1213, 97)
    notes = inked(drawn.mask, drawn.mask.notes)
    for head in drawn.heads:
        place = head.place
        part = notes[round(place.y) : round(place.bottom), round(place.x) : round(place.right)]
        assert part.mean() > 0.4, head.id


@pytest.mark.parametrize("number", [3, 17])
def test_the_number_of_its_first_bar_is_whole(number: int) -> None:
    """A bar 17 of which only the 7 is seen would be a lie."""
    tune = read_abc_text(f"{HEAD}{'A4|B4|' * 10}\n").tunes[0]
    drawn = draw_line(tune, StaffCut(number - 1, number + 1), room(), ending_fonts())
    ink = np.frombuffer(drawn.mask.notes, np.uint8).reshape(drawn.mask.height, drawn.mask.width)
    above_clef = ink[: drawn.top - round(1.5 * drawn.space), : 4 * drawn.space]
    assert (above_clef > INK).any()
    assert not above_clef[:, 0].any()


@pytest.mark.parametrize("sign", ["fermata", "trill", "accent", "turn", "lowermordent", "tenuto"])
def test_a_sign_above_a_note_is_whole(sign: str) -> None:
    """However tall it is, and above whatever gracenotes."""
    tune = read_abc_text(f"{HEAD}{{gBd}}!{sign}!B4 {{ag}}!{sign}!a4|]\n").tunes[0]
    for height in (80, 97, 154):
        drawn = draw_line(tune, StaffCut(0, 1), room(758, height))
        assert not np.frombuffer(drawn.mask.notes, np.uint8)[: drawn.mask.width].any()


def test_it_is_as_wide_as_its_room() -> None:
    """To the pixel, give or take one."""
    assert line(758).mask.width == pytest.approx(758, abs=1)
    assert line(758).mask.height == 80


def test_what_has_no_room_is_drawn_smaller() -> None:
    """By a quarter at most, with all its notes, its middle line where those of others are; else it is wider."""
    for bars, is_wider in ((4, False), (12, True)):
        tune = read_abc_text(f"{HEAD}{THICK * bars}|]\n").tunes[0]
        drawn = draw_line(tune, StaffCut(0, 1), room())
        assert (drawn.mask.width > 759) == is_wider
        assert line().space * 0.75 - 1 < drawn.space < line().space
        assert len(drawn.heads) == sum(1 + len(note.gracenotes) for note in tune.notes)
        assert drawn.top + 2 * drawn.space == pytest.approx(line().top + 2 * line().space, abs=1)


def test_a_bar_wider_than_its_room_is_shown_page_by_page() -> None:
    """At each moment the part with what sounds, within the window."""
    tune, display = read_abc_text(f"{HEAD}{THICK * 12}|]\n").tunes[0], Display()
    of, view = first_state((tune,), tune, Timing()), PlayView(lettering_for(SIZE, display))
    lefts = set()
    for event in of.schedule.events:
        at_s = (event.start_s + event.end_s) / 2
        picture = view.picture(of, display, at_s, *SIZE, staff=engraver())
        staff = next(mark for mark in picture.still if isinstance(mark, Engraved))
        heads = [mark for mark in picture.moving if isinstance(mark, Engraved) and mark.lines is None]
        assert len(heads) == 1
        assert staff.x <= heads[0].x
        assert heads[0].x + heads[0].part.width <= staff.x + staff.part.width + 5
        lefts.add(staff.part.x)
    assert 3 <= len(lefts) <= 5


def painted(theme: Theme) -> tuple[npt.NDArray[Any], Engraved]:
    """The pixels of the playing screen, row by row, and the line on it."""
    display = Display(theme=theme)
    lettering = lettering_for(SIZE, display)
    picture = PlayView(lettering).picture(scenes.state(), display, 0.0, *SIZE, staff=engraver())
    staff = next(mark for mark in picture.still if isinstance(mark, Engraved))
    return pygame.surfarray.array3d(paint_still(picture, display, lettering)).swapaxes(0, 1), staff


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
def test_it_is_painted_in_the_colours_of_the_theme(theme: Theme) -> None:
    """Lines are quieter than notes, and both stand out from the ground (WCAG 2.2, 1.4.11: 3:1)."""
    contrast = require_module("wcag_contrast_ratio")
    pixels, staff = painted(theme)
    part = pixels[round(staff.y) : round(staff.y) + staff.mask.height, round(staff.x) + 300 :][
        :, : staff.mask.width - 310
    ]
    colours = {tuple(int(each) for each in pixel) for pixel in part.reshape(-1, 3)}
    assert {theme[Role.INK], theme[Role.PAST], theme[Role.GROUND]} <= colours
    ratios: Mapping[Role, float] = {
        role: contrast.rgb(*(tuple(each / 255 for each in theme[one]) for one in (role, Role.GROUND)))
        for role in (Role.INK, Role.PAST)
    }
    assert 3.0 <= ratios[Role.PAST] < ratios[Role.INK]


def test_the_note_that_sounds_is_painted_otherwise() -> None:
    """Its head in the colour of what is present, on a plate."""
    theme = THEMES[0]
    pixels, staff = painted(theme)
    part = pixels[round(staff.y) : round(staff.y) + staff.mask.height]
    for role in (Role.GUIDE, Role.WASH):
        assert (part == np.array(theme[role])).all(axis=2).sum() > 12


@pytest.mark.parametrize("missing", ["verovio", "resvg_py"])
def test_where_a_library_is_missing_one_line_says_so(missing: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where a library is missing, one line says so, and the picture is as it is without a staff."""
    importing = builtins.__import__

    def refuse(name: str, *rest: Any) -> Any:
        if name == missing:
            raise ImportError(f"No module named '{name}'")
        return importing(name, *rest)

    monkeypatch.setattr(builtins, "__import__", refuse)
    source, display = StaffAtOnce(), Display()
    assert "cannot be loaded" in source.trouble
    assert "pip install" in source.trouble
    assert "\n" not in source.trouble
    view = PlayView(lettering_for(SIZE, display))
    assert view.picture(scenes.state(), display, 1.0, *SIZE, staff=source) == view.picture(
        scenes.state(), display, 1.0, *SIZE
    )
