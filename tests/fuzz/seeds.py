"""Where fuzzing begins: what is valid or nearly so, and words that a machine would take long to think up."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from companion.listen.model.played import Sounded
from companion.midi.maps.keys import KEYS_MAP
from companion.midi.maps.memory import FILE_NAME, PortMemory, write_memory
from companion.midi.maps.note_map import DEFAULT_MAP
from companion.midi.takes.heading import heading_to_text
from companion.schedule.build import build_schedule
from companion.schedule.timing import Gracing, Timing
from companion.score.engrave.mei import mei_of
from companion.score.formats.musicxml_out.writer import musicxml_of
from companion.window.core.display import Display, Hand, Print, Viewpoint
from companion.window.core.theme import THEMES
from companion.window.play.settings.preferences import Preferences, write_preferences
from tests.companion.midi.spoilt import GOOD, HEADING, NOTES, SPOILT
from tests.companion.score.formats.ours import wild_tunes
from tests.companion.score.test_abc_any_text import HEADS, LINES, WORDS
from tests.fuzz.limits import LONGEST
from tests.fuzz.made_takes import FREE_PLAY, METRONOME, WITHOUT, played_bytes, sensed_bytes
from tests.fuzz.targets import SHORT, TUNES, judged_tunes
from tests.fuzz.wrapping import BOTH, RAW, TRACK
from tests.fuzz.wrapping import HEADING as AS_HEADING

WILD = Path(__file__).resolve().parents[1] / "companion" / "score" / "wild"
_AT = datetime(2026, 1, 2, 20, 15, 3, tzinfo=UTC)


@cache
def seeds(target: str) -> tuple[bytes, ...]:
    """The inputs to begin with, none longer than LONGEST."""
    return tuple(seed for seed in _SEEDS[target]() if len(seed) <= LONGEST[target])


def words(target: str) -> tuple[str, ...]:
    """What a fuzzer may put in anywhere."""
    if target == "abc":
        return (*WORDS.split(), *(f"\n{line}\n" for line in LINES))
    if target == "score":
        return tuple(sorted({word for seed in seeds(target) for word in re.findall(r"[\w.-]+", seed.decode())})) + _ODD
    if target in ("take", "judge", "midi_input"):
        told = heading_to_text(HEADING).split('"')[1::2]
        return (
            *told,
            "MThd",
            "MTrk",
            "\0\xff\x2f\0",
            "\0\xff\x51\x03",
            "\xff\x01",
            "\xf0",
            "\xf7",
            "\xfe",
            "\xff",
            *_ODD,
        )
    return tuple(word for seed in seeds(target) for word in seed.decode().split('"')[1::2]) + _ODD


_ODD = (
    "null",
    "true",
    "1e999",
    "NaN",
    "-1",
    "[",
    "{",
    "9" * 30,
    "0.5",
    "\\u0000",
    "\\ud800",
    "\\n",
    "9999-12-31T23:59:59Z",
)


def _abc() -> Iterator[bytes]:
    for path in (*sorted(TUNES.glob("*.abc")), *sorted(WILD.glob("*.abc"))):
        yield path.read_bytes()
    for head in HEADS:
        yield f"{head}|:A{{g}}B>c (3def|[1 [ce]2-c2 z2:|[2 a4|]\n".encode()


def _score() -> Iterator[bytes]:
    """Documents of a few bars; of MusicXML and of MEI alike."""
    for _, tune in wild_tunes()[::6]:
        if len(tune.bars) <= 4:
            yield from (write(tune).encode() for write in (mei_of, musicxml_of))


def _take() -> Iterator[bytes]:
    yield from (bytes([RAW]) + data for data, _ in SPOILT.values())
    yield bytes([RAW]) + GOOD
    for known in (DEFAULT_MAP, KEYS_MAP, None):
        heading = heading_to_text(replace(HEADING, known=known)).encode()
        yield bytes([AS_HEADING]) + heading
        yield bytes([BOTH]) + heading + b"\n" + NOTES * 8
    yield bytes([TRACK]) + b"\x01\xe0" + NOTES * 8 + b"\0\xff\x51\x03\x07\xa1\x20" + NOTES
    yield bytes([TRACK]) + b"\x01\xe0" + b"\0\xb0\x02\x40\0\xd0\x10\0\xe0\x00\x40\0\xf0\x02\x01\xf7\0\xb0\x7b\0" + NOTES


def _midi_input() -> Iterator[bytes]:
    stream = bytes.fromhex(
        "904540 47404940 8045 40 b00240 d010 e00040 f0010203f7 fe 90fe4b40 f8 b07b00 ff 914500 f20102 93454045 00"
    )
    yield b"\0" + stream
    yield bytes([8, 1, 2, 3, 1, 1, 30, 2, 1]) + stream * 3
    scale = b"".join(bytes([0x90, number, 0x40, 0x80, number, 0]) for number in DEFAULT_MAP.numbers)
    yield bytes([20] + [6] * 20) + scale * 3
    holes = b"".join(bytes([0x90, 60 + finger, 0x40]) for finger in range(8))
    yield bytes([20] + [3] * 20) + holes + holes.replace(b"\x40", b"\0")


def _settings() -> Iterator[bytes]:
    displays = [Display(theme, Viewpoint.PLAYER, Hand.RIGHT, Print.BIG) for theme in THEMES]
    for display in (Display(), *displays):
        with TemporaryDirectory() as folder:
            path = Path(folder) / "settings.json"
            write_preferences(Preferences(display=display, gracing=Gracing.CRISP), path)
            yield path.read_bytes()


def _ports() -> Iterator[bytes]:
    memory = PortMemory().using("Chanter:MIDI 20:0", _AT).learning("Chanter:MIDI 20:0", DEFAULT_MAP)
    for each in (PortMemory(), memory, memory.learning("Holes", KEYS_MAP).using("Holes", _AT)):
        with TemporaryDirectory() as folder:
            write_memory(each, Path(folder))
            yield (Path(folder) / FILE_NAME).read_bytes()


def _judge() -> Iterator[bytes]:
    for rank, tune in enumerate(judged_tunes()):
        for first, count in ((0, 2), (2, 4)):
            if first + count > len(tune.order):
                break
            schedule = build_schedule(replace(tune, order=tune.order[first : first + count]), Timing())
            asked = bytes([0, 0, 0, 50, first, count - 1])
            playing = played_bytes([Sounded(event.start_s + 1.0, event.note) for event in schedule.events])
            yield bytes([0, rank, 1, METRONOME, 0]) + asked + playing + _SILENCE
            yield bytes([0x10, rank, 2, WITHOUT, 1]) + asked + playing + _SILENCE
            yield bytes([0x10, rank, 0, WITHOUT, 2]) + asked + sensed_bytes(schedule.states) + _SILENCE
            yield bytes([0x18, rank, 0, 40, WITHOUT, 0]) + asked + playing + _SILENCE
        if rank < SHORT:
            schedule = build_schedule(tune, Timing())
            playing = played_bytes([Sounded(event.start_s + 1.0, event.note) for event in schedule.events])
            yield bytes([0x14, rank, 1, 69, FREE_PLAY, 0]) + playing
    yield bytes([3, 0, 1, RAW]) + GOOD


_SILENCE = bytes([0xE0, 0, 200])

_SEEDS = {
    "abc": _abc,
    "score": _score,
    "take": _take,
    "midi_input": _midi_input,
    "settings": _settings,
    "ports": _ports,
    "judge": _judge,
}
