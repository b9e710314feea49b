"""Spoilt takes and settings through the command line, each in a process of its own with little memory."""

from __future__ import annotations

import json
import os
import resource
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from companion.commands.shared.library import sound_tune
from companion.commands.shared.playing_options import tune_list_of_take
from companion.midi.takes.heading import TuneIdentity, heading_to_text
from companion.midi.takes.reading import read_take
from companion.schedule.stretch import Stretch
from companion.score.performance import performance
from tests.companion.loaded import Ended, Loaded
from tests.companion.midi.spoilt import GOOD, HEADING, SPOILT, changed, take

ROOT = Path(__file__).resolve().parents[3]
MEMORY_BYTES = 2_000_000_000
"""Addresses, not memory in use: numpy's threads alone reserve several hundred MB of them."""

MOST_KB = 200_000
TUNE = "all-hands-to-tarrowick-pier"


Run = Callable[..., Ended]


@pytest.fixture
def run(loaded: Loaded) -> Run:
    """The command line, with its own data folder and little memory; fails where it shows a traceback."""

    def run_with(data: Path, *words: str) -> Ended:
        env = {**os.environ, "EIGHTHOLES_DATA": str(data), "SDL_VIDEODRIVER": "dummy", "SDL_AUDIODRIVER": "dummy"}
        ran = loaded.run(*words, folder=ROOT, env=env, limits={resource.RLIMIT_AS: MEMORY_BYTES})
        assert "Traceback" not in ran.told
        return ran

    return run_with


@pytest.fixture(scope="module")
def takes(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A data folder with every spoilt take, and good ones before and after them."""
    folder = tmp_path_factory.mktemp("data")
    (folder / "takes").mkdir()
    for rank, (data, _) in enumerate(SPOILT.values(), start=10):
        (folder / "takes" / f"{rank}.mid").write_bytes(data)
    for name in ("00.mid", "99.mid"):
        (folder / "takes" / name).write_bytes(GOOD)
    return folder


def test_good_takes_are_listed_beside_spoilt_ones(run: Run, takes: Path) -> None:
    """One line for each, on standard output the takes, on standard error the rest."""
    ran = run(takes, "take", "list")
    refused = [words for _, words in SPOILT.values() if words]
    assert ran.status == 0
    assert "(00.mid)" in ran.out
    assert "(99.mid)" in ran.out
    lines = ran.told.splitlines()
    assert len(lines) == len(refused)
    assert all(words in line for words, line in zip(refused, lines, strict=True))
    assert all(line.startswith("eightholes: ") and line.isprintable() for line in lines)
    assert len(json.loads(run(takes, "take", "list", "--json").out)) == len(SPOILT) - len(refused) + 2


def test_several_takes_are_judged_in_one_table(run: Run, takes: Path) -> None:
    """A line for each, none of them judged: the good ones are of another tune."""
    files = sorted(str(path) for path in (takes / "takes").iterdir())
    ran = run(takes, "judge", TUNE, *files)
    assert ran.status == 2
    assert len(ran.told.splitlines()) == len(files) + 1


JUDGED_APART = """
import os, sys
from companion.__main__ import main
import companion.commands.judge
for path in sys.argv[2:]:
    if os.fork() == 0:
        with open(path + ".told", "w") as told:
            os.dup2(told.fileno(), 2)
        status = main(["judge", sys.argv[1], path])
        sys.stderr.flush()
        # Not getrusage, which on Linux counts what the process was before it became this one.
        (largest,) = [line.split()[1] for line in open("/proc/self/status") if line.startswith("VmHWM")]
        with open(path + ".measured", "w") as measured:
            print(status, largest, file=measured)
        os._exit(0)
    os.wait()
"""
REFUSED = [name for name, (_, words) in SPOILT.items() if words]


@pytest.fixture(scope="module")
def judged(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Where each take is that is refused. Beside it is what judging it told, and with which status and memory.

    Each in a process of its own, forked from one that has loaded the program, since loading takes longest.
    """
    folder = tmp_path_factory.mktemp("judged")
    paths = {name: folder / f"{rank}.mid" for rank, name in enumerate(REFUSED)}
    for name, path in paths.items():
        path.write_bytes(SPOILT[name][0])
    command = [sys.executable, "-c", JUDGED_APART, TUNE, *map(str, paths.values())]
    one_thread = {**os.environ, "OPENBLAS_NUM_THREADS": "1"}  # or numpy's would be lost in the fork
    subprocess.run(command, cwd=ROOT, env=one_thread, check=True, timeout=60.0 * len(paths))
    return paths


@pytest.mark.parametrize("name", REFUSED)
def test_each_is_told_in_one_line(name: str, judged: dict[str, Path]) -> None:
    """Status 2; refused within 200 MB."""
    path = judged[name]
    status, largest_kb = path.with_name(f"{path.name}.measured").read_text().split()
    (line,) = path.with_name(f"{path.name}.told").read_text().splitlines()
    assert status == "2"
    assert SPOILT[name][1] in line
    assert int(largest_kb) < MOST_KB


def test_control_characters_of_a_take_are_not_printed(run: Run, tmp_path: Path) -> None:
    """Neither of its title, nor of what it was played on, nor of its own name."""
    wild = "\x1b[2J\r\n\x00\ud800"
    (tmp_path / "takes").mkdir()
    path = tmp_path / "takes" / "a\n\x1b[2Jb.mid"
    path.write_bytes(changed(tune__title=wild, tune__file=wild, source=wild))
    ran = run(tmp_path, "take", "list")
    assert ran.out.count("<1B>[2J") == 3
    assert all(line.isprintable() for line in ran.out.splitlines())
    assert len(ran.out.splitlines()) == 2
    refused = run(tmp_path, "judge", TUNE, str(path))
    assert refused.status == 2
    (line,) = refused.told.splitlines()
    assert line.isprintable()
    assert "this is a take of <1B>[2J<0D><0A><00><D800>" in line


def test_notes_that_the_tune_does_not_have_are_told(run: Run, tmp_path: Path) -> None:
    """By the judge, and by the window as it opens: in one line."""
    tune = sound_tune(TUNE, None)
    heading = replace(HEADING, tune=TuneIdentity.of(tune), stretch=Stretch(0, 1_000_000))
    (tmp_path / "a.mid").write_bytes(take(heading_to_text(heading)))
    for words in (("judge", TUNE, "a.mid"), ("show", "--take", "a.mid")):
        ran = run(tmp_path, *words[:-1], str(tmp_path / "a.mid"))
        (line,) = ran.told.splitlines()
        assert ran.status == 2
        assert f"this take tells of note 1000000 of a tune that has {len(performance(tune))}" in line


SPOILT_PORTS = {
    "no JSON": "{",
    "another kind": '{"ports": 3}',
    "a channel of words": '{"ports": {"a": {"map": null, "channel": "x", "last_used": null}}}',
    "channel 16": '{"ports": {"a": {"map": null, "channel": 16, "last_used": null}}}',
    "the year 1": '{"ports": {"a": {"map": null, "channel": null, "last_used": "0001-01-01T00:00:00+00:00"}}}',
    "no time zone": '{"ports": {"a": {"map": null, "channel": null, "last_used": "2026-01-01T00:00:00"}}}',
    "nested deeply": '{"ports": ' + "[" * 100_000,
    "a map of words": '{"ports": {"a": {"map": {"notes": "abcdefghi"}, "channel": null, "last_used": null}}}',
}


@pytest.mark.parametrize("name", SPOILT_PORTS)
def test_spoilt_ports_are_told_in_one_line_and_set_aside(run: Run, name: str, tmp_path: Path) -> None:
    """Before anything else is done; where there is no MIDI that is a line of its own."""
    (tmp_path / "ports.json").write_text(SPOILT_PORTS[name])
    ran = run(tmp_path, "ports")
    first, *rest = ran.told.splitlines()
    assert first.startswith(f"eightholes: {tmp_path / 'ports.json'}: what is known of the MIDI ports cannot be read (")
    assert first.isprintable()
    assert (ran.status, len(rest)) in ((0, 0), (2, 1))
    assert (tmp_path / "ports.json.unreadable").read_text() == SPOILT_PORTS[name]
    again = run(tmp_path, "ports")
    assert len(again.told.splitlines()) == len(rest)


def test_control_characters_of_a_port_are_not_printed(run: Run, tmp_path: Path) -> None:
    """Of one that is remembered."""
    known = {"wild\n\x1b[2J\ud800": {"map": None, "channel": 3, "last_used": None}}
    (tmp_path / "ports.json").write_text(json.dumps({"ports": known}))
    ran = run(tmp_path, "ports")
    if ran.status == 0:
        assert "wild<0A><1B>[2J<D800>: its notes are not learnt yet, channel 4" in ran.out
    assert all(line.isprintable() for line in ran.out.splitlines())


@pytest.mark.parametrize(
    "path", ["//server/share/x.abc", r"\\server\share\x.abc", "smb://server/x.abc", "file:///x.abc", "a\0.abc"]
)
def test_a_path_to_another_computer_is_not_opened(path: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Not even to see whether there is such a file."""
    (tmp_path / "a.mid").write_bytes(changed(tune__file=path))
    stranger = read_take(tmp_path / "a.mid")
    asked: list[Any] = []
    really: Callable[..., Any] = os.stat

    def stat(name: Any, *more: Any, **others: Any) -> Any:
        asked.append(name)
        return really(name, *more, **others)

    monkeypatch.setattr(os, "stat", stat)
    tune_list = tune_list_of_take(stranger, None)
    assert tune_list.first in tune_list.tunes
    assert all("server" not in str(name) and "\0" not in str(name) and str(name) != path for name in asked)
