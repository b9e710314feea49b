"""Files of any name, places that are no files, and streams of any kind: one line and status 2, or it works."""

from __future__ import annotations

import json
import os
import resource
from pathlib import Path

import pytest

from companion.__main__ import main
from tests.companion.commands.program import TUNE, environment, is_one_line, run
from tests.companion.commands.workplace import furnish

HARD_NAMES = {
    "a line end": b"two\nlines",
    "escape codes": b"\x1b[2J\x1b]0;title\x07",
    "not UTF-8": b"caf\xe9 \xff\xfe",
    "another way to write": "\u202egnp.cba".encode(),
    "an option": b"--help me",
    "blanks": b" \t ",
}
TOO_LONG = "x" * 300
READERS = {
    "read": ["read", "{}"],
    "check": ["check", "{}"],
    "holes": ["holes", "{}"],
    "cross": ["cross", "{}"],
    "sound": ["sound", "{}", "-o", "out.wav"],
    "picture": ["picture", "{}", "-o", "out.png"],
    "show": ["show", "{}"],
    "judge a tune": ["judge", "{}", "take.mid"],
    "judge": ["judge", "judged.abc", "{}"],
    "judge several": ["judge", "judged.abc", "{}", "{}"],
    "show a take": ["show", "--take", "{}"],
    "picture of a take": ["picture", "--take", "{}", "-o", "out.png"],
    "list takes": ["take", "list", "--folder", "{}"],
}
"""Every way to read a file that is named on the command line."""

LITTLE_MEMORY = 600_000_000
"""Enough to begin with."""

ASCII = {"PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0", "LC_ALL": "C", "LANG": None, "PYTHONIOENCODING": None}


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The folder in which the commands run, without a screen."""
    furnish(tmp_path, monkeypatch)
    return tmp_path


def words_of(reader: str, name: str) -> list[str]:
    """The command line of a reader of the file of that name."""
    return [word.format(name) for word in READERS[reader]]


def can_be_read(told: str) -> bool:
    """Whether no line of it moves the cursor, or is empty."""
    return all(line.isprintable() and line.strip() for line in told.removesuffix("\n").split("\n")) if told else True


@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize("name", [*HARD_NAMES, "too long"])
def test_a_file_that_is_not_there_is_told_whatever_its_name(
    folder: Path, reader: str, name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """In one line, or one for each, that can be read. A folder of takes that is not there has none in it yet."""
    path = "./" + os.fsdecode(HARD_NAMES[name]) if name in HARD_NAMES else TOO_LONG
    status = main(words_of(reader, path))
    printed = capsys.readouterr()
    assert can_be_read(printed.err)
    assert status == 2 or reader == "list takes"
    assert is_one_line(printed.err) or reader == "judge several" or (status == 0 and can_be_read(printed.out))


@pytest.mark.same_everywhere
@pytest.mark.parametrize("reader", [each for each in READERS if each != "list takes"])
@pytest.mark.parametrize("name", HARD_NAMES)
def test_a_file_of_a_hard_name_is_read(
    folder: Path, reader: str, name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """As any other; what is printed of its name can be read. Only the window cannot open, as there is no screen."""
    path = "./" + os.fsdecode(HARD_NAMES[name])
    take = "take" in reader or reader in ("judge", "judge several")
    Path(path).write_bytes((folder / ("take.mid" if take else "judged.abc")).read_bytes())
    status = main(words_of(reader, path))
    printed = capsys.readouterr()
    assert (status, printed.err) == (0, "") or ("show" in reader and "no window can be opened" in printed.err)
    assert can_be_read(printed.out.replace("\n\n", "\n").replace("\n\n", "\n"))


@pytest.mark.parametrize("name", HARD_NAMES)
def test_an_output_may_have_a_hard_name(folder: Path, name: str, capsys: pytest.CaptureFixture[str]) -> None:
    """It is written under that name, and printed so that it can be read."""
    path = folder / os.fsdecode(HARD_NAMES[name] + b".png")
    assert main(["picture", "tune.abc", "-o", str(path)]) == 0
    assert path.read_bytes().startswith(b"\x89PNG")
    assert can_be_read(capsys.readouterr().out)


@pytest.mark.parametrize("place", ["/dev/zero", "/dev/full", "/dev/null", "folder", "tune.abc/x", "loop", ""])
@pytest.mark.parametrize("reader", [each for each in READERS if each != "list takes"])
def test_what_is_no_file_is_told(folder: Path, reader: str, place: str, capsys: pytest.CaptureFixture[str]) -> None:
    """At once, and without filling the memory."""
    (folder / "folder").mkdir()
    (folder / "loop").symlink_to("loop")
    assert main(words_of(reader, place)) in (1, 2)
    printed = capsys.readouterr()
    assert can_be_read(printed.err)


@pytest.mark.parametrize("reader", [each for each in READERS if each != "list takes"])
def test_nobody_waits_for_a_pipe(folder: Path, reader: str, capsys: pytest.CaptureFixture[str]) -> None:
    """That nobody writes to: it is told as what it is."""
    os.mkfifo(folder / "pipe")
    assert main(words_of(reader, "pipe")) in (1, 2)
    printed = capsys.readouterr()
    assert "a device or a pipe" in printed.err + printed.out


@pytest.mark.parametrize("words", [["read", "tune.abc"], ["read", "drills", "--json"], ["--help"], ["read", "--help"]])
def test_output_that_cannot_be_written_is_told(folder: Path, words: list[str]) -> None:
    """/dev/full, and a stream that is closed: more than fits its buffer, and less."""
    with open("/dev/full", "wb") as full:
        status, _, told = run(*words, folder=folder, stdout=full)
    assert (status, told) == (
        2,
        "eightholes: standard output cannot be written (no space left on device); send it to another place\n",
    )
    status, _, told = run(*words, folder=folder, preexec_fn=lambda: os.close(1))
    assert status == 2
    assert is_one_line(told)
    assert "standard output cannot be written" in told


def test_where_errors_cannot_be_written_the_work_is_done(folder: Path) -> None:
    """The status tells; a file that is written does not get what was meant for standard error."""
    faulty = folder / "faulty.abc"
    faulty.write_text(TUNE.replace("K:HP\n", "K:HP\nw: too many words for this line of music here, as a warning\n"))
    with open("/dev/full", "wb") as full:
        assert run("holes", "nowhere", folder=folder, stderr=full)[0] == 2
        assert run("sound", "faulty.abc", "-o", "a.wav", folder=folder, stderr=full)[0] in (0, 2)
    assert run("holes", "nowhere", folder=folder, preexec_fn=lambda: os.close(2))[0] == 2

    def close_all() -> None:
        for number in range(3):
            os.close(number)

    run("sound", "tune.abc", "-o", "b.wav", folder=folder, preexec_fn=close_all)
    assert (folder / "b.wav").read_bytes().startswith(b"RIFF")


def test_a_reader_that_has_read_enough_is_no_fault(folder: Path) -> None:
    """As `| head -1`: nothing is said."""
    reading, writing = os.pipe()
    os.close(reading)
    try:
        status, _, told = run("read", "drills", "--json", folder=folder, stdout=writing)
    finally:
        os.close(writing)
    assert (status, told) == (0, "")


@pytest.mark.parametrize(
    "changes",
    [
        pytest.param(ASCII, id="C"),
        pytest.param({"PYTHONIOENCODING": "ascii:strict"}, id="ascii", marks=pytest.mark.same_everywhere),
        pytest.param({"PYTHONIOENCODING": "cp1252:strict"}, id="cp1252"),
    ],
)
def test_every_terminal_gets_its_output(folder: Path, changes: dict[str, str | None]) -> None:
    """What its letters cannot say comes as codes, which JSON reads back."""
    title = "Ò Mo Dhùthaich “♪” 𝄞"
    (folder / "ò.abc").write_text(TUNE.replace("T:Test", f"T:{title}"), encoding="utf-8")
    env = environment(**changes)
    status, out, told = run("read", os.fsencode("ò.abc"), "--json", folder=folder, env=env)
    assert (status, told) == (0, "")
    encoding = "cp1252" if "cp1252" in str(changes) else "ascii"
    assert json.loads(out.decode(encoding))[0]["title"] == title
    for words in (["read", os.fsencode("ò.abc")], ["cross", "a", "e"], ["sound", "--help"], ["take", "list"]):
        status, out, told = run(*words, folder=folder, env=env)
        assert (status, told) == (0, ""), words
        assert out
    status, _, told = run("holes", os.fsencode("ù.abc"), folder=folder, env=env)
    assert status == 2
    assert is_one_line(told)


def test_where_there_is_no_standard_input_nothing_changes(folder: Path) -> None:
    """No command reads it."""
    assert run("read", "tune.abc", folder=folder, preexec_fn=lambda: os.close(0))[0] == 0


@pytest.mark.same_everywhere
def test_a_picture_too_large_for_the_memory_is_told(folder: Path) -> None:
    """More pixels than the largest screens have are refused before; the rest in one line where there is no room."""
    words = ("picture", "tune.abc", "-o", "x.png", "--size")

    def limit() -> None:
        resource.setrlimit(resource.RLIMIT_AS, (LITTLE_MEMORY, LITTLE_MEMORY))

    for size, fault in (("8192x8192", "is too large"), ("7680x4320", "not enough memory")):
        status, _, told = run(*words, size, folder=folder, preexec_fn=limit)
        assert status == 2
        assert is_one_line(told)
        assert fault in told
    assert not (folder / "x.png").exists()
