"""`eightholes cross`, called as a user does."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from companion.__main__ import main
from companion.commands.shared.crossing_options import note_named
from fingering.chart import chart
from fingering.holes import HoleState
from fingering.notes import Note

TUNE = "X:1\nT:Drill\nM:2/4\nL:1/8\nK:HP\nad ed|ae {g}ae|]\n"


def printed(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    """What `eightholes cross` prints."""
    assert main(["cross", *words]) == 0
    return capsys.readouterr().out


def as_json(capsys: pytest.CaptureFixture[str], *words: str) -> Any:
    """What `cross` prints with --json, parsed."""
    return json.loads(printed(capsys, *words, "--json"))


def refused(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    """The one line of a refusal."""
    assert main(["cross", *words]) == 2
    out, err = capsys.readouterr()
    assert not out
    assert err.startswith("eightholes: ")
    assert err.count("\n") == 1
    return err


def test_a_pair_as_json_has_all_that_was_promised(capsys: pytest.CaptureFixture[str]) -> None:
    """D to E: 120 orders, the clean ones start with the ring finger before the lower index finger."""
    data = as_json(capsys, "d", "e")
    assert (data["from"], data["to"]) == ("d", "e")
    assert data["lifts"] == ["upper ring", "lower little"]
    assert data["drops"] == ["lower index", "lower middle", "lower ring"]
    assert (data["orders"], data["clean_orders"]) == (120, 60)
    assert data["teach"][0] == "upper ring"
    assert sorted(data["teach"]) == sorted(data["lifts"] + data["drops"])
    assert len(data["states"]) == 32
    assert 0.0 < data["difficulty"] < 1.0


def test_the_states_of_a_pair_go_from_one_note_to_the_other(capsys: pytest.CaptureFixture[str]) -> None:
    """Each state once, with the ABC letter that it sounds as and the cents from that note."""
    states = as_json(capsys, "d", "e")["states"]
    assert [states[0]["state"], states[-1]["state"]] == [str(chart(Note.D)), str(chart(Note.E))]
    assert [states[0]["kind"], states[-1]["kind"]] == ["from", "to"]
    by_state = {HoleState.parse(each["state"]): each for each in states}
    assert len(by_state) == len(states)
    ring_first = by_state[HoleState.parse("x xxo ooox")]
    assert (ring_first["sounds"], ring_first["kind"], ring_first["sort"]) == ("e", "clean", "phantom")
    assert ring_first["cents"] == pytest.approx(10.0, abs=2.0)
    low_a = by_state[HoleState.parse("x xxx xxxo")]
    assert (low_a["sounds"], low_a["kind"], low_a["sort"]) == ("A", "foreign", "lift/drop")


def test_a_late_finger_tells_what_is_heard_and_for_how_long(capsys: pytest.CaptureFixture[str]) -> None:
    """High A to E, ring finger 40 ms late: low A for 40 ms."""
    (noise,) = as_json(capsys, "a", "e", "--late", "upper ring=40")["late"]
    assert (noise["sounds"], noise["ms"], noise["kind"]) == ("A", 40.0, "foreign")
    text = printed(capsys, "a", "e", "--late", "upper-ring=40")
    assert "40 ms of x xxx xxxo: low A, crossing noise, a note of its own" in text


@pytest.mark.parametrize(
    ("late_ms", "words"),
    [
        ("2.9", "crossing noise, too short to hear"),
        ("3.1", "crossing noise, a blemish"),
        ("19.9", "crossing noise, a blemish"),
        ("20.1", "crossing noise, a note of its own"),
    ],
)
def test_how_long_a_noise_lasts_tells_what_it_is(capsys: pytest.CaptureFixture[str], late_ms: str, words: str) -> None:
    """Two sounds closer than 3 ms are one, and from 20 ms on they have an order (Hirsh 1959)."""
    assert f"low A, {words}\n" in printed(capsys, "a", "e", "--late", f"upper-ring={late_ms}")


def test_two_late_fingers_are_heard_in_order(capsys: pytest.CaptureFixture[str]) -> None:
    """D to E, ring finger 50 ms and lower middle finger 10 ms late: C, then low A."""
    late = as_json(capsys, "d", "e", "--late", "upper ring=50", "--late", "lower middle=10")["late"]
    assert [(each["sounds"], each["at_ms"], each["ms"]) for each in late] == [("c", 0.0, 10.0), ("A", 10.0, 40.0)]


def test_readable_output_says_that_it_is_computed(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """For a pair, a tune and the map."""
    file = tmp_path / "drill.abc"
    file.write_text(TUNE)
    for words in (["d", "e"], [str(file)], ["--all"]):
        assert "computed for a reference practice chanter, not measured" in printed(capsys, *words)


def test_a_pair_for_people_starts_with_what_to_do(capsys: pytest.CaptureFixture[str]) -> None:
    """The sentence to teach, and the meaning of the difficulty."""
    text = printed(capsys, "d", "e", "--spread", "8")
    assert "upper ring finger up first, then the lower hand" in text
    assert "spread of 8 ms" in text


def test_a_pair_tells_its_noise_how_hard_it_is_and_how_often_it_comes(capsys: pytest.CaptureFixture[str]) -> None:
    """D to E blips low A or low G (common practice, no source); keys beside those that were there before."""
    data = as_json(capsys, "d", "e")
    assert [noise["sounds"] for noise in data["noises"]][:2] == ["A", "G"]
    first = data["noises"][0]
    assert (first["kind"], first["ms"], first["fingers"]) == ("lower", 30.0, {"upper ring": 30.0})
    assert data["hard"] == "very hard"
    assert data["hard_weight"] == sum(each["weight"] for each in data["hard_because"])
    assert {"noise", "both ways", "both hands", "ring fingers", "fingers"} == {
        each["what"] for each in data["hard_because"]
    }
    assert all(each["words"] and each["why"] for each in data["hard_because"])
    assert 0 < data["in_tunes"]["tunes"] <= data["in_tunes"]["of"]
    text = printed(capsys, "d", "e")
    assert "low A flashes below both, for 30 ms, usually when the upper ring finger comes late" in text
    assert "both hands move: the two hands come apart more easily than fingers of one hand" in text
    assert f"our tunes ask for it {data['in_tunes']['times']} times" in text


def test_one_finger_has_no_noise(capsys: pytest.CaptureFixture[str]) -> None:
    """Low G to low A."""
    assert as_json(capsys, "G", "A")["noises"] == []
    assert "noise       one finger, always clean" in printed(capsys, "G", "A")


def test_all_pairs_are_72(capsys: pytest.CaptureFixture[str]) -> None:
    """As data each is a whole pair, with the order to drill them in."""
    data = as_json(capsys, "--all")
    pairs = {(pair["from"], pair["to"]): pair for pair in data["pairs"]}
    assert len(pairs) == 72
    assert all(start != end for start, end in pairs)
    order = [tuple(pair) for pair in data["drill_first"]]
    assert sorted(order) == sorted(pairs)
    levels = ["very hard", "hard", "fair", "easy"]
    keys = [(levels.index(pairs[pair]["hard"]), -pairs[pair]["in_tunes"]["times"]) for pair in order]
    assert keys == sorted(keys)


def test_the_map_for_people_has_a_sign_and_a_note_in_each_cell(capsys: pytest.CaptureFixture[str]) -> None:
    """D's row: a lower note flashes on the way to E; then what to drill first, all but those of one finger."""
    lines = printed(capsys, "--all").splitlines()
    row = next(line for line in lines if line.startswith("D "))
    assert "v low A" in row
    assert "o C" in row
    drills = [line for line in lines if " x  " in line]
    assert len(drills) == 60
    assert drills[0].startswith("very hard")
    assert "The other 12 changes of note move one finger only." in lines


def test_the_words_are_those_of_the_trade(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """Crossing noise, explained; the pick-up is no bar."""
    file = tmp_path / "drill.abc"
    file.write_text("X:1\nT:Up\nM:2/4\nL:1/8\nK:HP\nde|d4|]\n")
    for words in (["d", "e"], [str(file)], ["--all"]):
        text = printed(capsys, *words)
        assert "rossing noise" in text
        assert "foreign" not in text
    text = printed(capsys, str(file))
    assert "pick-up: upper ring finger up first" in text
    assert "bar 1: " in text
    assert "bar 0" not in text


def test_a_tunes_own_transitions_come_worst_first(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """High A to E comes twice in the drill, once straight and once over a G gracenote."""
    file = tmp_path / "drill.abc"
    file.write_text(TUNE)
    data = as_json(capsys, str(file))
    assert data["tune"] == "Drill"
    expected = [each["expected"] for each in data["transitions"]]
    assert expected == sorted(expected, reverse=True)
    high_a_to_e = next(each for each in data["transitions"] if (each["from"], each["to"]) == ("a", "e"))
    assert (high_a_to_e["count"], high_a_to_e["bars"]) == (2, [2])
    assert "high A to E" in printed(capsys, str(file))


@pytest.mark.parametrize(
    ("words", "what"),
    [
        (["d", "h"], "the chanter has no note 'h'"),
        (["b", "c"], "the chanter has no note 'b'"),
        (["low C", "e"], "the chanter has no note 'low C'"),
        (["d", "d"], "D to D is no crossing"),
        (["d", "D"], "D to D is no crossing"),
        (["a", "e", "--late", "lower little=20"], "the lower little finger does not move"),
        (["a", "e", "--late", "nose=20"], "there is no finger 'nose'"),
        (["a", "e", "--late", "upper ring=-20"], "is out of reach; choose 0 to 2000 ms"),
        (["a", "e", "--late", "upper ring=1e9"], "is out of reach"),
        (["a", "e", "--late", "upper ring=nan"], "is out of reach"),
        (["a", "e", "--late", "upper ring=soon"], "'soon' in 'upper ring=soon' is no number of ms"),
        (["a", "e", "--late", "upper ring"], "'upper ring' is no FINGER=MS"),
        (["a", "e", "--late", "thumb=1", "--late", "thumb=2"], "the thumb is late twice"),
        (["d", "e", "--spread", "0"], "a spread of 0 ms is out of reach"),
        (["--all", "--late", "thumb=3"], "--late needs two notes"),
        (["--all", "d", "e"], "cross cannot tell what is meant"),
        (["d", "e", "f"], "cross cannot tell what is meant"),
        ([], "cross cannot tell what is meant"),
        (["e"], "only one note, 'e', was given"),
        (["no-such-tune"], "there is no file 'no-such-tune'"),
    ],
)
def test_a_mistake_is_told_in_one_line(capsys: pytest.CaptureFixture[str], words: list[str], what: str) -> None:
    """Exit status 2, nothing printed besides."""
    assert what in refused(capsys, *words)


@pytest.mark.parametrize(
    ("word", "note"),
    [
        ("A", Note.LOW_A),
        ("a", Note.HIGH_A),
        ("low A", Note.LOW_A),
        ("high-g", Note.HIGH_G),
        ("F", Note.F),
        ("c", Note.C),
    ],
)
def test_notes_are_letters_or_names(word: str, note: Note) -> None:
    """ABC letters under K:HP, or what pipers say."""
    assert note_named(word) is note
