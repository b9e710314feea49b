"""What is fuzzed: each target is a function of bytes that returns where all is well, and raises where it is not.

The only exception of ours that may come of bytes is UserError, and it is one line. Each target writes the bytes where
the program reads them, so that what is tested is what runs.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from xml.etree.ElementTree import fromstring

from companion.commands.judge import judge_file, paper_colours
from companion.listen.judgement import judgement_to_data
from companion.listen.model.strictness import Strictness
from companion.listen.report.class_table import table_text
from companion.listen.report.page import page_of
from companion.listen.report.text import verdict_text
from companion.midi.files.tune_file import midi_of
from companion.midi.maps.calibration import Calibration
from companion.midi.maps.hole_map import HoleLearning
from companion.midi.maps.instrument import instrument_for
from companion.midi.maps.memory import FILE_NAME, read_memory, write_memory
from companion.midi.maps.note_map import DEFAULT_MAP
from companion.midi.stream.line import SenderDecoder, Timed
from companion.midi.stream.messages import ActiveSensing, Decoder, SystemReset, encode
from companion.midi.takes.reading import read_summary, read_take
from companion.schedule.build import build_schedule
from companion.schedule.timing import Timing
from companion.score.abc import read_abc, read_abc_text
from companion.score.abc.text.source import decode, split_lines
from companion.score.checks import check
from companion.score.engrave.mei import mei_of
from companion.score.form.problems import Problems
from companion.score.formats.abc_text.writer import abc_of
from companion.score.formats.books import read_tunes
from companion.score.formats.kinds import TuneFormat, format_of
from companion.score.formats.musicxml.prepare import prepare
from companion.score.formats.musicxml_out.writer import musicxml_of
from companion.score.formats.xml.decoding import decode_xml
from companion.score.model import Tune
from companion.score.writing import check_writing
from companion.window.play.settings.preferences import read_preferences, write_preferences
from fingering.errors import UserError
from tests.fuzz.draws import Draws
from tests.fuzz.facts import (
    assert_in_order,
    assert_judged,
    assert_messages,
    assert_played,
    assert_prints,
    assert_said_in_a_line,
    assert_timed,
    assert_within,
)
from tests.fuzz.made_takes import SENSORS, heading_from, messages_from, write_made_take
from tests.fuzz.wrapping import take_from

TUNES = Path(__file__).resolve().parents[2] / "tunes"
MOST_TURNS = 64
"""Bars of a performance that are timed: more of them cost more and show no more."""

MOST_TUNES = 20
RAW_TAKE, LOW_A, TEMPO, NO_PAGE = 3, 0x04, 0x08, 0x10
"""Of the first byte of `judge`: raw bytes, a low A, a tempo; and no page, which takes as long as all the rest."""

HIGHEST_LOW_A = 140
WHOLE_TUNES = ("the-keepers-window", "the-ropewalk-cat", "lament-for-the-tarrowick-bell")
DRILLS = (9, 2, 13, 14, 12, 8)
"""Tunes of `drills` that hold something of everything and are short, the first SHORT of them so short that a take of
the whole costs little."""

SHORT = 4


def abc(data: bytes) -> None:
    """An ABC file: read, checked and timed."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "a.abc"
        path.write_bytes(data)
        try:
            book = read_abc(path)
        except UserError as error:
            assert_said_in_a_line(error)
            return
    widths = [len(line) for line in split_lines(decode(data, Problems("")))]
    for problem in book.problems:
        assert_within(problem, widths)
    for tune in book.tunes[:MOST_TUNES]:
        assert_in_order(tune)
        assert_prints(tune)
        for problem in (*check(tune), *check_writing(tune)):
            assert_within(problem, widths)
        cut = replace(tune, order=tune.order[:MOST_TURNS])
        assert_timed(build_schedule(cut, Timing()))
        assert_timed(build_schedule(cut, Timing(beats_per_minute=400.0, slow_down=32.0)))


def score(data: bytes) -> None:
    """A file of MEI, or one of MusicXML up to what Verovio is given: read, checked, timed, and written in each format.

    Verovio itself is not fuzzed: it runs in a process of its own.
    """
    with TemporaryDirectory() as folder:
        path = Path(folder) / "a.mei"
        path.write_bytes(data)
        try:
            if format_of(data, path.name) is TuneFormat.MUSICXML:
                fromstring(prepare(decode_xml(data, ""), "").text)
                return
            book = read_tunes(path)
        except UserError as error:
            assert_said_in_a_line(error)
            return
    for tune in book.tunes[:MOST_TUNES]:
        assert_in_order(tune)
        assert_prints(tune)
        assert all(each.what.isprintable() and each.remedy.isprintable() for each in (*book.problems, *check(tune)))
        if len(tune.order) <= MOST_TURNS:
            assert_timed(build_schedule(tune, Timing()))
            assert midi_of(tune, Timing())
        again = read_abc_text(abc_of(tune)).tunes
        assert [len(each.order) for each in again] == [len(tune.order)]
        for written in (musicxml_of(tune), mei_of(tune)):
            fromstring(written)


def take(data: bytes) -> None:
    """A take's file: listed and read, both to the same end."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "a.mid"
        path.write_bytes(take_from(data))
        refusals = []
        for read in (read_summary, read_take):
            try:
                read(path)
            except UserError as error:
                assert_said_in_a_line(error)
                refusals.append(str(error))
        if refusals:
            assert refusals == [refusals[0]] * 2
            return
        summary, whole = read_summary(path), read_take(path)
    assert summary.heading == whole.heading
    assert summary.messages == len(whole.messages)
    assert summary.end_s == whole.end_s
    assert whole.heading.shown_title.isprintable()
    assert whole.heading.shown_source.isprintable()
    assert_messages(whole.messages)
    assert_played(whole.events)


def midi_input(data: bytes) -> None:
    """Bytes from a port: however they are cut, the same messages, and an instrument that plays in order of time."""
    draws = Draws(data)
    cuts = [draws.byte() for _ in range(draws.byte() % 32)]
    stream = draws.rest()
    whole = list(Decoder().feed(stream))
    decoder = Decoder()
    assert [message for piece in _pieces(stream, cuts) for message in decoder.feed(piece)] == whole
    for message in whole:
        if not isinstance(message, ActiveSensing | SystemReset):
            assert list(Decoder().feed(encode(message))) == [message]
    line = SenderDecoder()
    assert [timed for piece in _pieces(stream, cuts) for timed in line.feed(piece, 1.0)] == list(
        SenderDecoder().feed(stream, 1)
    )
    for channel in (None, 3):
        _play(tuple(_timed(SenderDecoder(channel), stream, cuts)))


def settings(data: bytes) -> None:
    """What the window keeps: read, or set aside whole; what was read is read the same once it is written again."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "settings.json"
        path.write_bytes(data)
        try:
            kept = read_preferences(path)
        except UserError as error:
            _assert_set_aside(path, data, error)
            return
        write_preferences(kept, path)
        assert read_preferences(path) == kept


def ports(data: bytes) -> None:
    """What is known of the ports: as `settings`."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / FILE_NAME
        path.write_bytes(data)
        try:
            kept = read_memory(Path(folder))
        except UserError as error:
            _assert_set_aside(path, data, error)
            return
        assert kept.last_used is None or kept.last_used in kept.ports
        write_memory(kept, Path(folder))
        assert read_memory(Path(folder)) == kept


@cache
def judged_tunes() -> tuple[Tune, ...]:
    """Tunes of ours that takes are judged for."""
    drills = read_abc(TUNES / "drills.abc").tunes
    whole = (read_abc(TUNES / f"{name}.abc").tunes[0] for name in WHOLE_TUNES)
    return (*(drills[rank] for rank in DRILLS), *whole)


def judge(data: bytes) -> None:
    """A take judged for one of our tunes: three takes in four are valid playing, the fourth is raw bytes."""
    draws = Draws(data)
    way, tune = draws.byte(), draws.one_of(judged_tunes())
    strictness = draws.one_of(tuple(Strictness))
    low_a = draws.byte() % HIGHEST_LOW_A if way & LOW_A else None
    tempo = 10.0 + 1.5 * draws.byte() if way & TEMPO else None
    with TemporaryDirectory() as folder:
        path = Path(folder) / "a.mid"
        if way % 4 == RAW_TAKE:
            path.write_bytes(take_from(draws.rest()))
        else:
            heading = heading_from(draws, tune)
            write_made_take(path, heading, messages_from(draws))
        result = judge_file(str(path), tune, strictness, low_a, tempo)
    assert table_text([result]).replace("\n", "").isprintable()
    if result.judgement is None:
        assert result.refusal is not None
        assert_said_in_a_line(result.refusal)
        return
    events = result.judgement.events
    assert_judged(result.judgement, events[0].at_s, events[-1].at_s)
    json.dumps(judgement_to_data(result.judgement), allow_nan=False)
    assert verdict_text(result.judgement).replace("\n", "").isprintable()
    if not way & NO_PAGE:
        page_of([result], paper_colours())


TARGETS: dict[str, Callable[[bytes], None]] = {
    "abc": abc,
    "score": score,
    "take": take,
    "midi_input": midi_input,
    "settings": settings,
    "ports": ports,
    "judge": judge,
}


def _pieces(stream: bytes, cuts: Sequence[int]) -> Iterator[bytes]:
    """The stream cut by these lengths, and whatever is left as one piece."""
    at = 0
    for cut in cuts:
        yield stream[at : at + cut]
        at += cut
    yield stream[at:]


def _timed(line: SenderDecoder, stream: bytes, cuts: Sequence[int]) -> Iterator[Timed]:
    """What a line tells when pieces come apart by more the longer they are, and the port is lost at the end."""
    at_s = 0.0
    for piece in _pieces(stream, cuts):
        at_s += len(piece) / 60.0
        yield from line.feed(piece, at_s)
    yield from line.pass_time(at_s + 1.0)
    yield from line.lose(at_s + 2.0)


def _play(messages: Sequence[Timed]) -> None:
    assert_messages(messages)
    end_s = messages[-1].at_s + 60.0 if messages else 60.0
    for known in (None, DEFAULT_MAP, SENSORS):
        instrument = instrument_for(known)
        played = [event for timed in messages for event in instrument.hear(timed)]
        assert_played([*played, *instrument.pass_time(end_s)])
    for learning in (Calibration(), HoleLearning()):
        for timed in messages:
            learning.hear(timed)
        learning.pass_time(end_s)
        assert (learning.learnt_map is None) is (learning.wanted is not None)


def _assert_set_aside(path: Path, data: bytes, error: UserError) -> None:
    assert_said_in_a_line(error)
    assert not path.exists()
    assert path.with_name(f"{path.name}.unreadable").read_bytes() == data
