"""Unpacks a compressed MusicXML file (.mxl) in memory, within limits; the paths in it lead nowhere.

Source: MusicXML 4.0, "Compressed .mxl Files": a ZIP archive whose META-INF/container.xml names the score.
"""

from __future__ import annotations

import io
import zipfile
import zlib
from collections.abc import Iterator

from companion.score.formats.xml.decoding import decode_xml
from companion.score.formats.xml.refusal import refused
from companion.score.formats.xml.tree import read_tree
from companion.score.problems import ProblemKind, RefusedScore

CONTAINER = "META-INF/container.xml"
MEDIA_TYPE = "application/vnd.recordare.musicxml+xml"

MOST_UNPACKED = 32_000_000
"""Bytes of a score once unpacked: as many as are read of one that is not packed."""

MOST_PACKED_TIMES = 200
"""How many times larger than packed a score may be: MusicXML shrinks to a tenth, or a thirtieth where all is alike."""

_FREE_OF_RATIO = 1_000_000
_LARGEST_LIST = 1_000_000
_LARGEST_CONTAINER = 100_000
_CHUNK = 1 << 16
_END_RECORD = b"PK\x05\x06"  # APPNOTE 4.3.16: the size of the list of files stands 12 bytes into it
_SCORES = (".musicxml", ".xml", ".mei")


def unpack_score(data: bytes, source: str) -> bytes:
    """The bytes of the score in an .mxl file. Raises UserError where it is broken, too large, or holds none."""
    try:
        _refuse_long_list(data, source)
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            name = _score_in(archive, source)
            return _unpacked(archive, name, MOST_UNPACKED, source)
    except RefusedScore:
        raise
    except (zipfile.BadZipFile, zlib.error, EOFError, RuntimeError, NotImplementedError, OSError, ValueError, KeyError):
        what = "this packed score is broken or locked, so that it cannot be unpacked"
        raise refused(source, ProblemKind.XML_BROKEN, what) from None


def _refuse_long_list(data: bytes, source: str) -> None:
    """Refuse an archive whose list of files would fill the memory before any of them is looked at."""
    at = data.rfind(_END_RECORD)
    if at >= 0 and int.from_bytes(data[at + 12 : at + 16], "little") > _LARGEST_LIST:
        raise refused(source, ProblemKind.XML_UNSAFE, "this packed score lists more files than any score has")


def _score_in(archive: zipfile.ZipFile, source: str) -> str:
    """The name of the score in an archive: the one that its container names, else the first that looks like one."""
    names = archive.namelist()
    for name in (*_named(archive, source), *(each for each in names if each.lower().endswith(_SCORES))):
        if name in names and not name.startswith("META-INF/"):
            return name
    raise refused(source, ProblemKind.NO_SCORE, "this packed file holds no score", "unpack it and choose the score")


def _named(archive: zipfile.ZipFile, source: str) -> Iterator[str]:
    if CONTAINER not in archive.namelist():
        return
    text = decode_xml(_unpacked(archive, CONTAINER, _LARGEST_CONTAINER, source), source)
    roots = tuple(read_tree(text, source).inside("rootfile"))
    yield from (each.get("full-path") for each in roots if each.get("media-type") in ("", MEDIA_TYPE))


def _unpacked(archive: zipfile.ZipFile, name: str, most: int, source: str) -> bytes:
    """The bytes of one file, counted while they are unpacked, whatever size the archive claims."""
    packed = max(1, archive.getinfo(name).compress_size)
    blocks: list[bytes] = []
    size = 0
    with archive.open(name) as stream:
        while block := stream.read(_CHUNK):
            size += len(block)
            if size > most or size > max(_FREE_OF_RATIO, MOST_PACKED_TIMES * packed):
                what = "this packed score would unpack to far more than any tune holds"
                raise refused(source, ProblemKind.XML_UNSAFE, what, "save the tune alone, not packed")
            blocks.append(block)
    return b"".join(blocks)
