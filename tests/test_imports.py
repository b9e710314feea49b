"""Arrows point down only, and the core stays pure."""

from __future__ import annotations

import ast
import json
import os
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from companion.window.loaded_later import LATER_NAVIGATION, all_navigation

ROOT = Path(__file__).resolve().parent.parent
MODULES = sorted(path for top in ("fingering", "companion") for path in (ROOT / top).rglob("*.py"))

# Which packages each package may import from, itself apart. Names below `companion` only.
BELOW: dict[str, set[str]] = {
    "files": set(),
    "score": {"files"},
    "schedule": {"score"},
    "listen": {"score", "schedule"},
    "media": {"files"},
    "sound": {"files", "score", "schedule", "media"},
    "midi": {"files", "score", "schedule", "listen"},
    "hearing": {"files", "media", "score", "schedule", "listen", "midi"},
    "lesson": {"files", "score", "schedule", "listen", "midi", "hearing"},
    "notate": {"score", "schedule", "listen", "hearing"},
    "handout": {"files", "score", "listen", "lesson"},
    "window": {"files", "score", "schedule", "listen", "sound", "midi", "hearing", "lesson", "notate"},
    "film": {"files", "score", "schedule", "listen", "sound", "midi", "media", "window"},
}
# The same within a package: which of its folders each of them may import from, itself apart; "" is the package itself.
FOLDERS: dict[str, dict[str, set[str]]] = {
    "score.abc": {
        "text": set(),
        "header": {"text"},
        "music": {"text", "header"},
        "": {"text", "header", "music"},
    },
    "listen": {
        "model": set(),
        "rhythm": {"model"},
        "align": {"model"},
        "find": {"model", "rhythm", "align"},
        "setting": {"model"},
        "verdict": {"model", "rhythm", "setting"},
        "take": {"model", "rhythm", "align", "find", "setting"},
        "": {"model", "setting", "take", "verdict"},
        "report": {"", "model", "rhythm", "verdict"},
    },
    "listen.align": {
        "cost": set(),
        "reading": {"cost"},
        "near": {"cost", "reading"},
        "wide": {"cost", "reading"},
        "": {"cost", "reading", "near", "wide"},
    },
    "listen.find": {
        "extra": set(),
        "gracenotes": set(),
        "place": {"extra", "gracenotes"},
        "": {"extra", "gracenotes", "place"},
    },
    "listen.verdict": {
        "matter": set(),
        "gather": {"matter"},
        "": {"matter", "gather"},
    },
    "lesson": {
        "model": set(),
        "phrases": {"model"},
        "steps": {"model", "phrases"},
        "progress": {"model"},
        "page": {"model", "steps"},
        "": {"model", "phrases", "steps", "progress", "page"},
    },
    "notate": {
        "pulse": set(),
        "form": {"pulse"},
        "": {"pulse", "form"},
    },
    "midi": {
        "stream": set(),
        "maps": {"stream"},
        "ports": {"stream", "maps"},
        "takes": {"stream", "maps"},
        "files": {"maps"},
        "": {"stream", "maps"},
    },
    "hearing": {
        "intake": set(),
        "": {"intake"},
        "files": {""},
        "takes": {"", "files"},
        "live": {""},
        "microphone": {"", "files", "live"},
    },
    "schedule": {"": set(), "practice": {""}, "rewritten": {""}},
    "sound": {"": set(), "files": {""}},
    "window.play": {"tools": set(), "settings": set(), "": {"tools", "settings"}},
    "window": {
        "core": set(),
        "sheet": {"core"},
        "paint": {"core"},
        "lanes": {"core"},
        "live": {"core", "lanes"},
        "staff": {"core", "paint"},
        "play": {"core", "lanes", "live", "staff"},
        "choose": {"core"},
        "rereading": {"core", "lanes", "play", "choose"},
        "crossing": {"core", "lanes", "play"},
        "takes": {"core", "lanes", "live", "play", "staff"},
        "written": {"core", "lanes", "play", "staff", "choose"},
        "embellishments": {"core", "lanes", "live", "play"},
        "lesson": {"core", "lanes", "live", "play", "classroom", "staff"},
        "progress": {"core"},
        "classroom": {"core", "lanes", "live", "play", "embellishments", "staff"},
        "": {
            "core",
            "sheet",
            "paint",
            "lanes",
            "live",
            "staff",
            "play",
            "choose",
            "rereading",
            "crossing",
            "takes",
            "written",
            "embellishments",
            "lesson",
            "progress",
            "classroom",
        },
    },
    "commands": {"shared": set(), "takes": {"shared"}, "": {"shared", "takes"}},
}
WIDEST_FOLDER = 16
"""Files beside its subfolders that a folder may hold, so that it can be read at a glance."""
DEVICES = {
    "pygame": {"window", "sound"},
    "mido": {"midi"},
    "rtmidi": {"midi"},
    "av": {"media"},
    "soundfile": {"hearing"},
    "miniaudio": {"hearing"},
}
# The command line ties everything together, and may import anything of ours.
TOP = {"commands", "__main__", "__init__"}
WITH_NUMPY = ("fingering.acoustics", "fingering.crossings")


def dotted(path: Path) -> str:
    """The module's name."""
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


@cache
def imported(path: Path) -> tuple[str, ...]:
    """The names of all modules that a file imports, wherever in it."""
    return tuple(_imported(path))


def _imported(path: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: write imports in full"
            yield node.module or ""


def package(name: str) -> str:
    """The package below `companion` that a module belongs to."""
    return [*name.split("."), "__init__"][1]


@pytest.mark.same_everywhere
@pytest.mark.parametrize("path", MODULES, ids=dotted)
def test_a_module_imports_only_from_below(path: Path) -> None:
    """The core imports nothing of the companion; each package only those under it."""
    name = dotted(path)
    ours = {module for module in imported(path) if module.split(".")[0] == "companion"}
    if name.startswith("fingering"):
        assert not ours
    elif package(name) not in TOP:
        allowed = BELOW[package(name)] | {package(name), "__init__"}
        assert {package(module) for module in ours} <= allowed


def folder(package: str, name: str) -> str:
    """The folder of a package that one of its modules lies in, "" for the package itself."""
    inner = name.removeprefix(f"companion.{package}.").split(".")
    return inner[0] if inner[0] in FOLDERS[package] and name != f"companion.{package}" else ""


@pytest.mark.same_everywhere
@pytest.mark.parametrize("path", MODULES, ids=dotted)
def test_a_folder_imports_only_from_those_below(path: Path) -> None:
    """Within a package as between packages."""
    name = dotted(path)
    for package, below in FOLDERS.items():
        within = f"companion.{package}."
        if name.startswith(within):
            own = folder(package, name)
            others = {folder(package, module) for module in imported(path) if module.startswith(within)}
            assert others <= below[own] | {own}


def test_no_folder_is_too_wide() -> None:
    """A folder of many modules has subfolders, which say what is inside."""
    widths = {path.parent: 0 for path in MODULES}
    for path in MODULES:
        widths[path.parent] += 1
    assert not {str(each): width for each, width in widths.items() if width > WIDEST_FOLDER}


@pytest.mark.same_everywhere
@pytest.mark.parametrize("path", MODULES, ids=dotted)
def test_only_the_edges_touch_devices(path: Path) -> None:
    """The window and the sound know pygame, the ports know MIDI, nobody else does."""
    name = dotted(path)
    for module in imported(path):
        homes = DEVICES.get(module.split(".")[0])
        assert homes is None or (name.startswith("companion") and package(name) in homes), f"{name} imports {module}"


def test_the_pure_core_loads_no_foreign_library() -> None:
    """All of `fingering` but the acoustic model needs the standard library only."""
    modules = [
        dotted(path)
        for path in MODULES
        if dotted(path).startswith("fingering") and not dotted(path).startswith(WITH_NUMPY)
    ]
    assert "fingering.embellishments" in modules
    script = f"import sys, json\nfor name in {modules!r}: __import__(name)\nprint(json.dumps(sorted(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True, check=True)
    loaded = {name.split(".")[0] for name in json.loads(done.stdout)}
    assert not loaded & {"numpy", "scipy", "pygame", "mido", "rtmidi", "companion"}


def test_importing_the_companion_opens_nothing() -> None:
    """Neither a window nor a port: a bare import loads no device library."""
    script = "import sys, companion, companion.__main__, json\nprint(json.dumps(sorted(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True, check=True)
    loaded = {name.split(".")[0] for name in json.loads(done.stdout)}
    assert not loaded & {"numpy", "pygame", "mido", "rtmidi", "av", "soundfile", "miniaudio"}


# The program without words, until its first frame is drawn.
FIRST_FRAME = """
import json, sys
from companion.window.paint.quick_pygame import load_pygame
load_pygame()
from companion.window.shell import Shell
draw = Shell.draw
def drawn(shell):
    draw(shell)
    print(json.dumps(sorted(sys.modules)))
    sys.exit(0)
Shell.draw = drawn
from companion.__main__ import main
main([])
"""
LATER = (
    *("av", "companion.film", "companion.media"),
    *("mido", "rtmidi", "pkg_resources", "companion.listen.find", "companion.listen.align", "companion.listen.verdict"),
    *("companion.hearing", "miniaudio", "soundfile"),
    *("companion.midi.stream", "companion.midi.takes", "companion.sound.device", "companion.sound.sounding_player"),
    *("companion.window.live.ear", "companion.window.live.input", "companion.window.live.instruments"),
    *("companion.window.takes", "companion.window.crossing", "companion.schedule.crossing", "fingering.crossings"),
    *("companion.window.embellishments.catalogue_screen", "companion.window.navigation"),
)
"""What the first frame shows nothing of, and does not wait for."""


def test_the_first_frame_loads_only_what_it_shows(tmp_path: Path) -> None:
    """Instruments, the ear, the sound and all other screens are loaded after it."""
    drivers = {"SDL_VIDEODRIVER": "dummy", "SDL_AUDIODRIVER": "dummy", "EIGHTHOLES_DATA": str(tmp_path)}
    env = {**os.environ, **drivers, "PYGAME_HIDE_SUPPORT_PROMPT": "1"}
    script = [sys.executable, "-c", FIRST_FRAME]
    done = subprocess.run(script, cwd=ROOT, env=env, capture_output=True, text=True, check=True)
    loaded = json.loads(done.stdout)
    assert "companion.window.play.play_view" in loaded
    assert not [name for name in loaded if name in LATER or name.startswith(tuple(f"{each}." for each in LATER))]


def test_what_is_loaded_later_opens_all_screens() -> None:
    """No action of the playing screen is forgotten there."""
    assert set(LATER_NAVIGATION) == set(all_navigation())


@pytest.mark.same_everywhere
def test_no_file_is_one_that_people_hate_to_open() -> None:
    """Past 350 lines there is a second idea in it."""
    paths = [path for top in ("companion", "fingering", "tests") for path in (ROOT / top).rglob("*.py")]
    lines = {str(path.relative_to(ROOT)): path.read_text(encoding="utf-8").count("\n") for path in paths}
    assert len(lines) > 300
    assert {path: count for path, count in lines.items() if count > 350} == {}
