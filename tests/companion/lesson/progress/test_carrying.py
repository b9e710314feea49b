"""A learner as one file: written, read elsewhere, and checked; and a learner who is deleted for good."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from companion.lesson.model.steps import StepKey, StepKind
from companion.lesson.progress.book import ProgressBook
from companion.lesson.progress.carrying import carried_to_text, read_carried
from companion.midi.takes.heading import TuneIdentity
from fingering.errors import UserError
from tests.companion.lesson.progress.playing import CROSSING, TAORLUATH, heard, on_day, take
from tests.companion.listen.playing import FOUR_BARS, tune_of

NAME, TITLE, OTHER = "Wilhelmina Quirk", "The Zebra's Umbrella", "Lament For The Other"
LAST = on_day(30)


def full(path: Path, name: str = NAME, title: str = TITLE) -> ProgressBook:
    """A book in which somebody has played for a month."""
    book = ProgressBook(path)
    tune = TuneIdentity(title, f"{title}.abc", "1", "ab" * 32)
    for n in range(40):
        skills = heard(TAORLUATH, 5 + n % 3, 8, 1), heard(CROSSING, 3 + n % 2, 4)
        book.take_in(name, take(on_day(n * 3 // 4, n / 100), *skills, file=f"{title} {n}.mid", tune=tune), LAST)
    book.take_in(name, take(on_day(30, 0.1), tempo=None, tune=None), LAST)
    book.step_done(name, tune_of(FOUR_BARS), StepKey(StepKind.CROSSING, (1, 1), CROSSING), LAST)
    book.step_done(name, tune_of(FOUR_BARS), StepKey(StepKind.PHRASE, (1, 2), None), LAST)
    return book


def test_a_learner_is_the_same_elsewhere(tmp_path: Path) -> None:
    """All that the account tells, what is known, and the steps that are done; a second time adds nothing."""
    here, there = full(tmp_path / "here"), ProgressBook(tmp_path / "there")
    (tmp_path / "a.json").write_text(carried_to_text(here.carried(NAME)))
    carried = read_carried(tmp_path / "a.json")
    assert carried == here.carried(NAME)
    assert there.carry_in(carried, LAST) == 41
    assert there.carry_in(carried, LAST) == 0
    assert there.account(NAME, LAST) == here.account(NAME, LAST)
    assert there.known(NAME, LAST) == here.known(NAME, LAST)
    assert there.steps_done(NAME, tune_of(FOUR_BARS)) == here.steps_done(NAME, tune_of(FOUR_BARS))
    assert len(there.steps_done(NAME, tune_of(FOUR_BARS))) == 2
    here.close()
    there.close()


def test_what_is_there_already_stays(tmp_path: Path) -> None:
    """Two computers, each with some takes: both have all after it, under whichever name."""
    book = full(tmp_path / "here")
    carried = book.carried(NAME)
    book.take_in("Bob", take(on_day(2), heard(TAORLUATH, 1, 8), file="own.mid"), LAST)
    assert book.carry_in(carried, LAST, learner="Bob") == 41
    assert book.account("Bob", LAST).takes == 42
    book.close()


SPOILT: dict[str, tuple[tuple[Any, ...], Any]] = {
    "another format": (("format",), "eightholes learner 9"),
    "no name": (("learner",), "a\nb"),
    "takes that are none": (("takes",), 3),
    "a moment that is none": (("takes", 0, "began"), "yesterday"),
    "a tune that is not there": (("takes", 0, "tune"), 7),
    "a tempo out of reach": (("takes", 0, "tempo"), 1e9),
    "more right than there are": (("takes", 0, "notes"), [3, 2]),
    "a skill that is none": (("takes", 0, "changes"), {"d>x": [1, 1, 0]}),
    "a change of three notes": (("takes", 0, "changes"), {"de>f": [1, 1, 0]}),
    "a skill that was never asked for": (("takes", 0, "embellishments"), {"g>d": [0, 0, 0]}),
    "more clean than asked for": (("takes", 0, "embellishments"), {"g>d": [2, 3, 0]}),
    "a finding of no kind": (("takes", 0, "findings", 0, "kind"), "boredom"),
    "a step of no kind": (("steps", 0, "kind"), "dance"),
}


@pytest.mark.parametrize("name", SPOILT)
def test_a_spoilt_file_is_refused_in_one_line(name: str, tmp_path: Path) -> None:
    """With where it is; nothing of it is taken in."""
    book = full(tmp_path / "here")
    data = json.loads(carried_to_text(book.carried(NAME)))
    book.close()
    (*way, last), value = SPOILT[name]
    place = data
    for key in way:
        place = place[key]
    place[last] = value
    (tmp_path / "a.json").write_text(json.dumps(data))
    with pytest.raises(UserError, match=r"this is no learner's file \(.*\)") as caught:
        read_carried(tmp_path / "a.json")
    assert str(caught.value).isprintable()


@pytest.mark.parametrize("data", [b"", b"{", b"[]", b'{"format": ' + b"[" * 10_000, bytes(range(256))])
def test_any_other_file_is_refused(data: bytes, tmp_path: Path) -> None:
    """Whatever it is."""
    (tmp_path / "a.json").write_bytes(data)
    with pytest.raises(UserError, match="no learner's file"):
        read_carried(tmp_path / "a.json")


def test_nothing_of_a_deleted_learner_is_left_on_the_disk(tmp_path: Path) -> None:
    """Neither the name nor a title nor the name of a take, in any file, while the book is open and after it; the others
    keep all."""
    path = tmp_path / "progress.sqlite"
    book = full(path)
    second = full(path, "Bob", OTHER)
    before = second.account("Bob", LAST)
    words = [text.encode() for text in (NAME, TITLE)]
    assert _found(tmp_path, words) == set(words)
    book.delete(NAME)
    assert _found(tmp_path, words) == set()
    assert book.learners() == ("Bob",)
    assert second.account("Bob", LAST) == before
    assert book.was_looked_at(f"{TITLE} 0.mid")
    book.close()
    second.close()
    assert _found(tmp_path, words) == set()
    assert _found(tmp_path, [OTHER.encode()]) == {OTHER.encode()}


def _found(folder: Path, words: list[bytes]) -> set[bytes]:
    return {word for word in words for file in folder.iterdir() if word in file.read_bytes()}


def test_nobody_is_deleted_or_written_who_is_not_there(tmp_path: Path) -> None:
    """It says who is."""
    book = full(tmp_path / "a")
    for call in (book.delete, book.carried):
        with pytest.raises(UserError, match=f"nothing is kept of 'Bob'.*{NAME}"):
            call("Bob")
    assert book.account(NAME, LAST).takes == 41
    book.close()
