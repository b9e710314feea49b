"""Takes of our own making: what their heading tells the ear."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from companion.__main__ import main
from companion.listen.judgement import judge
from companion.midi.maps.keys import KEYS_MAP
from companion.midi.maps.note_map import DEFAULT_MAP
from companion.midi.stream.line import Timed
from companion.midi.stream.messages import NoteOff, NoteOn
from companion.midi.stream.monophony import STUCK_AFTER_S, stuck_after_s
from companion.midi.takes.heading import LONGEST_TOLD_S, Heading, TuneIdentity, content_hash, crotchet_s
from companion.midi.takes.hearing import HeardTake, hear_take
from companion.midi.takes.take_file import TakeFile
from companion.schedule.build import build_schedule
from companion.schedule.stretch import Stretch
from companion.schedule.timing import BEATS_PER_MINUTE_RANGE, SLOWEST, Timing
from companion.score.abc import read_abc
from companion.score.model import Tune
from fingering.chart import chart
from fingering.holes import Finger
from fingering.notes import Note
from tests.companion.listen.playing import FOUR_BARS, tune_of

TUNE = tune_of(FOUR_BARS)
TUNES = Path(__file__).resolve().parents[3] / "tunes"


def take_of(tune: Tune, path: Path, timing: Timing, *, metronome: bool = False, stretch: Stretch | None = None) -> Path:
    """A take that plays exactly what is shown, the last note held until the take ends."""
    return write(path, heading_of(tune, timing, metronome=metronome, stretch=stretch), tune, timing)


def heading_of(tune: Tune, timing: Timing, *, metronome: bool = False, stretch: Stretch | None = None) -> Heading:
    """What is asked for, after a second."""
    return Heading(
        datetime(2026, 1, 2, 20, 15, 3, tzinfo=UTC),
        "Chanter:MIDI",
        DEFAULT_MAP,
        TuneIdentity(tune.title, "their.abc", "1", content_hash(tune)),
        timing,
        stretch,
        tune_starts_s=1.0,
        crotchet_s=crotchet_s(tune, timing),
        metronome=metronome,
    )


def write(path: Path, heading: Heading, tune: Tune, timing: Timing) -> Path:
    """A take of that heading, in which the tune is played as it is shown in that timing."""
    file = TakeFile(path, heading)
    schedule = build_schedule(tune, timing)
    sounding: Note | None = None
    for event in schedule.events:
        if event.note is not sounding:
            off = () if sounding is None else (Timed(1.0 + event.start_s, NoteOff(0, sounding.midi)),)
            file.append((*off, Timed(1.0 + event.start_s, NoteOn(0, event.note.midi))))
            sounding = event.note
    file.finish(1.0 + schedule.duration_s)
    return path


@pytest.mark.parametrize("slow_down", [1.0, 2.0, 8.0])
def test_playing_what_is_shown_is_right_however_slow(slow_down: float, tmp_path: Path) -> None:
    """Gracenotes too: they are slowed down with the melody."""
    take = hear_take(take_of(TUNE, tmp_path / "a.mid", Timing(slow_down=slow_down)), TUNE, None)
    assert take.terms.times_slower == slow_down
    assert take.terms.gracenotes_slowed == slow_down
    assert judged(take, TUNE) == []


SLOWEST_Q, FASTEST_Q = "1/4=5", "1/4=1000"
"""The ends of what the reader of tunes takes for a tempo."""


@pytest.mark.parametrize("tempo", [SLOWEST_Q, "1/4=30", "1/4=60", FASTEST_Q])
@pytest.mark.parametrize("beats_per_minute", [None, *BEATS_PER_MINUTE_RANGE])
@pytest.mark.parametrize("slow_down", [1.0, SLOWEST])
@pytest.mark.parametrize("metronome", [False, True])
def test_every_tempo_and_slow_down_is_judged_rightly(
    tempo: str,
    beats_per_minute: float | None,
    slow_down: float,
    metronome: bool,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """From the fastest to 3200 times slower than the tune's own tempo: who plays what is shown is told nothing."""
    tune = tune_of(FOUR_BARS, tempo)
    timing = Timing(beats_per_minute=beats_per_minute, slow_down=slow_down)
    path = take_of(tune, tmp_path / "a.mid", timing, metronome=metronome)
    assert said_by_the_command(tune, tempo, path, capsys) == []


def said_by_the_command(tune: Tune, tempo: str, path: Path, capsys: pytest.CaptureFixture[str]) -> list[str]:
    """What `eightholes judge` says of a take of the tune at that tempo."""
    file = path.with_suffix(".abc")
    file.write_text(f"%abc-2.1\nX:1\nT:{tune.title}\nM:4/4\nL:1/8\nQ:{tempo}\nK:HP\n{FOUR_BARS}\n", encoding="utf-8")
    assert main(["judge", str(file), str(path), "--json"]) == 0
    return [each["text"] for each in json.loads(capsys.readouterr().out)["findings"]]


def test_a_take_from_before_longer_crotchets_were_told_is_judged(tmp_path: Path) -> None:
    """Its file's tempo is the longest that there is; how slow it was, its timing tells."""
    tune, timing = tune_of(FOUR_BARS, "1/4=30"), Timing(slow_down=32.0)
    heading = replace(heading_of(tune, timing), crotchet_s=LONGEST_TOLD_S)
    path = write(tmp_path / "old.mid", heading, tune, timing)
    take = hear_take(path, tune, None)
    assert take.terms.times_slower == 32.0
    assert judged(take, tune) == []


@pytest.mark.parametrize("metronome", [False, True])
def test_a_tune_that_has_another_tempo_since(metronome: bool, tmp_path: Path) -> None:
    """The take tells at which it ran: with the metronome it is judged by the clicks that were heard."""
    path = take_of(TUNE, tmp_path / "a.mid", Timing(), metronome=metronome)
    faster = tune_of(FOUR_BARS, "1/4=360")
    take = hear_take(path, faster, None)
    assert take.terms.times_slower == pytest.approx(6.0)
    assert take.terms.metronome_bpm == pytest.approx(60.0 if metronome else None)
    assert judged(take, faster) == []


def judged(take: HeardTake, tune: Tune) -> list[str]:
    """What is said of a take."""
    return [each.text for each in judge(tune, take.events, terms=take.terms).findings]


def test_a_note_is_stuck_after_as_many_crotchets_as_seconds() -> None:
    """Thirty, of the tempo in force, and never fewer seconds than without a tune: one rule, live and in a take.

    At 20 beats a minute, 32 times slower: 48 minutes.
    """
    for timing, limit_s in (
        (Timing(20.0, slow_down=32.0), 2880.0),
        (Timing(20.0), 90.0),
        (Timing(60.0), STUCK_AFTER_S),
        (Timing(120.0), STUCK_AFTER_S),
    ):
        assert stuck_after_s(crotchet_s(TUNE, timing)) == pytest.approx(limit_s)
    assert stuck_after_s(None) == STUCK_AFTER_S


def test_a_note_held_until_the_take_ends_was_played(tmp_path: Path) -> None:
    """All 25 melody notes of the four bars, the minim at the end among them, and nothing is left unjudged."""
    take = hear_take(take_of(TUNE, tmp_path / "a.mid", Timing()), TUNE, None)
    assert take.events[-1].at_s == pytest.approx(1.0 + build_schedule(TUNE, Timing()).duration_s, abs=0.001)
    judgement = judge(TUNE, take.events, terms=take.terms)
    assert judgement.verdict.notes.right == judgement.verdict.notes.of == len(TUNE.notes)
    assert judgement.places[-1][0] == len(TUNE.notes) - 1
    assert judgement.verdict.not_judged == ()


def test_the_metronome_that_ran_judges(tmp_path: Path) -> None:
    """At the pace that was heard: 60 beats a minute, one and a half times slower. One slower than any is left out."""
    for slow_down, beats_per_minute in ((1.0, 60.0), (1.5, 40.0), (8.0, None)):
        path = take_of(TUNE, tmp_path / f"{slow_down}.mid", Timing(slow_down=slow_down), metronome=True)
        assert hear_take(path, TUNE, None).terms.metronome_bpm == pytest.approx(beats_per_minute)
    quiet = take_of(TUNE, tmp_path / "quiet.mid", Timing(slow_down=1.5))
    assert hear_take(quiet, TUNE, None).terms.metronome_bpm is None


def test_a_stretch_means_nothing_in_a_tune_that_was_changed(tmp_path: Path) -> None:
    """A tune that was mended since is laid beside the take whole."""
    path = take_of(TUNE, tmp_path / "a.mid", Timing(), stretch=Stretch(0, 6))
    assert hear_take(path, TUNE, None).terms.stretch == Stretch(0, 6)
    shorter = tune_of("{d}A{g}B{d}c{g}d e{g}fe{g}d|")
    assert hear_take(path, shorter, None).terms.stretch is None


def test_a_take_of_another_tune_is_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Beside every tune that comes with the program, shorter ones and longer ones."""
    path = take_of(TUNE, tmp_path / "a.mid", Timing())
    for file in sorted(TUNES.glob("*.abc")):
        assert main(["judge", str(file), str(path)]) == 2
        (line,) = capsys.readouterr().err.splitlines()
        title = read_abc(file).tunes[0].title
        assert (
            f"this is a take of A test, not of {title}, so it is not judged; give that tune's file (their.abc)" in line
        )


def test_low_a_means_nothing_to_sensors(tmp_path: Path) -> None:
    """A take of hole states among others of notes, all judged with --low-a."""
    heading = Heading(datetime(2026, 1, 2, tzinfo=UTC), "Keys", KEYS_MAP)
    file = TakeFile(tmp_path / "keys.mid", heading)
    closed = [finger for finger in Finger if chart(Note.E).closed(finger)]
    file.append(
        [Timed(1.0, NoteOn(switch.channel, switch.number)) for switch in (KEYS_MAP.switches[each] for each in closed)]  # type: ignore[union-attr]
    )
    file.finish(2.0)
    assert hear_take(tmp_path / "keys.mid", TUNE, 57).events == hear_take(tmp_path / "keys.mid", TUNE, None).events
