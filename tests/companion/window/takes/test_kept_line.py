"""The line that says where a take is kept: the whole name of its file can be read, however narrow the window is."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from companion.files.folders import from_home
from companion.midi.takes.reading import Listing, Summary
from companion.window.core.display import Display, Print
from companion.window.core.marks import Role, Style
from companion.window.core.wording import path_within, wrapped_whole
from companion.window.lanes.played_in import Light, PlayedIn
from companion.window.play.play_view import PlayView
from companion.window.shell import SMALLEST
from companion.window.takes.takes_screen import TakesScreen
from tests.companion.midi.spoilt import HEADING
from tests.companion.window import scenes
from tests.companion.window.lettered import lettering_for
from tests.companion.window.takes.reviewing import canvas

SIZES = (SMALLEST, *scenes.SIZES)
FOLDER = "~/" + "/".join(["a folder with a long name"] * 9) + "/takes"
SHORT = "2026-11-25 20-15-03 nets-on-the-slip.mid"
LONGEST_SLUG = f"2026-11-25 20-15-03 {'w' * 40} 999.mid"
NAMES = (SHORT, LONGEST_SLUG, "e" * 251 + ".mid")


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("print_size", Print)
@pytest.mark.parametrize("name", NAMES)
def test_the_list_tells_the_whole_name_of_the_marked_takes_file(
    size: tuple[int, int], print_size: Print, name: str
) -> None:
    """The folders give way in the middle, then the line goes on in another; nothing overlaps or leaves."""
    take = Summary(replace(HEADING, tune=None), 3, 10.0, Path("/x") / name)
    shown = canvas(size, print_size)
    picture = TakesScreen(Listing((take,), ()), FOLDER, lambda take: None).picture(shown)
    told = "".join(label.text for label in scenes.labels(picture) if label.role is Role.QUIET)
    assert name.replace(" ", "") in told.replace(" ", "")
    assert "kept as" in told
    assert "…" not in name + told.partition("kept as")[2].partition(name)[2]
    for label, rect in scenes.assert_apart(picture, shown.measure):
        assert 0 <= rect.x < rect.right <= size[0], label.text
        assert 0 <= rect.y < rect.bottom <= size[1], label.text


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("print_size", Print)
@pytest.mark.parametrize("name", [SHORT, LONGEST_SLUG])
def test_beside_the_tune_the_name_is_whole_as_well(size: tuple[int, int], print_size: Print, name: str) -> None:
    """What is listened to gives way to it; no words lie over others."""
    display = Display(print=print_size)
    measure = lettering_for(size, display)
    played = PlayedIn(light=Light.ARRIVING, words="messages arrive from Chanter MIDI 1", kept=f"kept as {name}")
    picture = PlayView(measure).picture(scenes.state(), display, 5.0, *size, played)
    told = "".join(label.text for label in scenes.labels(picture))
    assert name.replace(" ", "") in told.replace(" ", "")
    for label, rect in scenes.assert_apart(picture, measure):
        if "kept" in label.text or label.text in name:
            assert 0 <= rect.x < rect.right <= size[0], label.text


def test_no_folder_is_left_out_where_there_is_room() -> None:
    """Then those in the middle give way first, the first stays longest, and the last part is never cut."""
    measure = canvas().measure
    path = "~/.local/share/eightholes/takes/one.mid"
    width = measure.width(path, Style.TEXT)
    seen = list(dict.fromkeys(path_within(path, Style.TEXT, width * room / 100, measure) for room in range(100, 0, -1)))
    assert seen == [
        path,
        "~/…/share/eightholes/takes/one.mid",
        "~/…/eightholes/takes/one.mid",
        "~/…/takes/one.mid",
        "~/…/one.mid",
        "one.mid",
    ]


def test_a_long_name_goes_on_in_the_next_line() -> None:
    """No letter of it is lost, and no line is wider than its room."""
    measure = canvas().measure
    lines = wrapped_whole("kept as " + "w" * 100, Style.TEXT, 300.0, measure)
    assert "".join(lines) == "kept as" + "w" * 100
    assert all(measure.width(line, Style.TEXT) <= 300.0 for line in lines)


def test_a_path_below_the_home_folder_begins_with_a_tilde(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """One elsewhere is told as it is."""
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("USERPROFILE", str(tmp_path))
    assert from_home(tmp_path / "takes") == "~/takes"
    assert from_home(Path("/elsewhere/takes")) == str(Path("/elsewhere/takes"))
