"""Files that are broken, or made to do harm, are refused in one line that says what is wrong."""

from __future__ import annotations

import io
import re
import time
import zipfile
from pathlib import Path

import pytest

from companion.score.engrave import apart
from companion.score.formats.books import MOST_BYTES, read_tunes
from companion.score.formats.musicxml_out.writer import musicxml_of, packed_musicxml_of
from fingering.errors import UserError
from tests.companion.score.formats.ours import our_tunes

GOOD = musicxml_of(our_tunes()[0])
PACKED = packed_musicxml_of(our_tunes()[0])
CONTAINER = "META-INF/container.xml"


def packed(**files: bytes) -> bytes:
    """A ZIP archive of a container, where one is given, and a score."""
    names = {"container": CONTAINER, "score": "score.xml"}
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in files.items():
            archive.writestr(names[name], data)
    return stream.getvalue()


def container(path: str) -> bytes:
    """A container that names a score."""
    return f'<container><rootfiles><rootfile full-path="{path}"/></rootfiles></container>'.encode()


def locked() -> bytes:
    """An archive whose score says that it is encrypted: bit 0 of the general purpose flag (APPNOTE 4.4.4)."""
    data = bytearray(packed(score=GOOD.encode()))
    for mark, at in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        data[data.find(mark) + at] |= 1
    return bytes(data)


LAUGHS = (
    b'<?xml version="1.0"?><!DOCTYPE score-partwise [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]>'
    b"<score-partwise>&b;</score-partwise>"
)
OWN_TYPE = "this XML has a document type of its own making"
BROKEN = "the XML is broken here, or breaks off"
TOO_FAR = "this packed score would unpack to far more than any tune holds"

CASES: dict[str, tuple[str, bytes, str]] = {
    "a billion laughs": ("a.musicxml", LAUGHS, OWN_TYPE),
    "a file of the system": (
        "a.musicxml",
        b'<!DOCTYPE score-partwise [<!ENTITY x SYSTEM "file:///etc/passwd">]><score-partwise>&x;</score-partwise>',
        OWN_TYPE,
    ),
    "a file of the net": ("a.mei", b'<!DOCTYPE mei [<!ENTITY % x SYSTEM "http://a.b/c">%x;]><mei/>', OWN_TYPE),
    "endless nesting": ("a.mei", b"<mei>" + b"<a>" * 101, "this XML nests deeper than 100 elements"),
    "endless elements": ("a.mei", b"<mei>" + b"<a/>" * 251_000, "this score holds more than 250,000 elements"),
    "endless words": ("a.xml", b"<score-partwise>" + b"<a/>" * 401_000, "this XML holds more than 400,000 elements"),
    "cut": ("a.musicxml", GOOD[: len(GOOD) // 2].encode(), BROKEN),
    "cut at once": ("a.xml", b'<?xml version="1.0"?>', BROKEN),
    "a zero byte": ("a.mei", b"<mei>\0</mei>", BROKEN),
    "empty": ("a.musicxml", b"", "the file is empty"),
    "neither": ("a.xml", b'<?xml version="1.0"?><recipe/>', "this is XML, but no score in MusicXML"),
    "a web page": ("a.mei", b"<!DOCTYPE html><html/>", "this MEI document holds no score with notes"),
    "a list of scores": ("a.musicxml", b"<opus/>", "this is XML, but no score in MusicXML"),
    "words": ("a.mei", b"Dear Ann, here is the tune.", "this is not ABC: no line begins a tune"),
    "no notes": ("a.musicxml", b"<score-partwise/>", "the tune holds no music"),
    "no score": ("a.mei", b"<mei/>", "this MEI document holds no score with notes"),
    "another encoding": (
        "a.musicxml",
        b'<?xml version="1.0" encoding="UTF-8"?><score-partwise>\xe9</score-partwise>',
        "this XML is not in the encoding that it declares",
    ),
    "an unknown encoding": (
        "a.musicxml",
        b'<?xml version="1.0" encoding="TAU-7"?><score-partwise/>',
        "this XML is in an encoding that is not read, 'TAU-7'",
    ),
    "a bomb": ("a.mxl", packed(container=container("score.xml"), score=b"<a>" + b" " * 40_000_000), TOO_FAR),
    "a small bomb": ("a.mxl", packed(score=b"<score-partwise>" + b" " * 3_000_000), TOO_FAR),
    "a bomb for a container": ("a.mxl", packed(container=b" " * 3_000_000, score=GOOD.encode()), TOO_FAR),
    "no score in the pack": ("a.mxl", packed(container=container("nowhere.xml")), "this packed file holds no score"),
    "a broken pack": ("a.mxl", PACKED[:-40], "this packed score is broken or locked"),
    "a cut pack": ("a.mxl", PACKED[:400], "this packed score is broken or locked"),
    "a locked pack": ("a.mxl", locked(), "this packed score is broken or locked"),
    "a pack in a pack": ("a.mxl", packed(container=container("score.xml"), score=PACKED), "this XML is not in"),
    "a document": ("a.docx", packed(score=b"<w:document/>"), "this is a packed file (ZIP: compressed MusicXML"),
}


@pytest.mark.parametrize("name", CASES)
def test_it_is_refused_in_one_line(name: str, tmp_path: Path) -> None:
    """With its place, what is wrong and what to do; never with a traceback, and soon."""
    file, data, what = CASES[name]
    path = tmp_path / file
    path.write_bytes(data)
    began = time.process_time()
    with pytest.raises(UserError) as refused:
        read_tunes(path)
    line = str(refused.value)
    assert line.startswith(str(path))
    assert what in line
    assert "\n" not in line
    assert "; " in line
    assert time.process_time() - began < 30.0


def test_a_file_of_a_hundred_megabytes_is_refused(tmp_path: Path) -> None:
    """Without being read to its end: the file has holes, so that it takes no room."""
    path = tmp_path / "a.musicxml"
    with path.open("wb") as stream:
        stream.write(b"<score-partwise>")
        stream.truncate(100_000_000)
    with pytest.raises(UserError, match=f"the file is larger than {MOST_BYTES // 1_000_000} MB"):
        read_tunes(path)


def test_a_plain_document_type_is_accepted_and_never_fetched(tmp_path: Path) -> None:
    """As nearly all MusicXML files have one; here it names a file that is there, and defines what the score uses."""
    (tmp_path / "a.dtd").write_text('<!ENTITY title "fetched">')
    path = tmp_path / "a.musicxml"
    text = GOOD.replace("http://www.musicxml.org/dtds/partwise.dtd", (tmp_path / "a.dtd").as_uri())
    title = our_tunes()[0].title
    path.write_text(text.replace(title, "&title;"))
    assert read_tunes(path).tunes[0].title != "fetched"


def test_paths_in_a_pack_lead_nowhere(tmp_path: Path) -> None:
    """A score outside the pack is not looked for; one within it is read."""
    outside = tmp_path / "outside.xml"
    outside.write_text(GOOD.replace(our_tunes()[0].title, "Outside"))
    path = tmp_path / "a.mxl"
    path.write_bytes(packed(container=container(str(outside)), score=GOOD.encode()))
    assert read_tunes(path).tunes[0].title == our_tunes()[0].title
    assert sorted(each.name for each in tmp_path.iterdir()) == ["a.mxl", "outside.xml"]


def test_a_score_that_ends_the_process_that_turns_it_into_mei_is_refused() -> None:
    """Verovio divides by the lower figure of a metre: a process of its own ends, and not the program."""
    text = re.sub(r"<beat-type>\d+", "<beat-type>0", GOOD, count=1)
    with pytest.raises(UserError, match="the music cannot be made out"):
        apart.mei_made_apart(text)


def test_a_score_that_takes_too_long_is_given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    """And its process ended."""
    monkeypatch.setattr(apart, "LONGEST_S", 0.01)
    with pytest.raises(UserError, match="the music takes too long to be read"):
        apart.mei_made_apart(GOOD)
