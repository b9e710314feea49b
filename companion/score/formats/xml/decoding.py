"""Turns the bytes of an XML file into text, by its mark or by the encoding that it declares."""

from __future__ import annotations

import codecs
import re

from companion.files.lines import quoted
from companion.score.formats.xml.refusal import refused
from companion.score.problems import ProblemKind

_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
    (b"<\0", "utf-16-le"),  # without a mark, as XML 1.0 appendix F tells them apart
    (b"\0<", "utf-16-be"),
)
_DECLARED = re.compile(rb"\A\s*<\?xml[^>]{0,200}?\bencoding\s*=\s*[\"']([A-Za-z][\w.-]{0,40})[\"']")
_READ = frozenset({"utf-8", "ascii", "iso8859-1", "iso8859-15", "cp1252", "utf-16"})


def decode_xml(data: bytes, source: str) -> str:
    """The text of an XML file. Raises UserError where its encoding is unknown or not the one that it declares."""
    encoding = _encoding_of(data, source)
    try:
        return data.decode(encoding)
    except UnicodeDecodeError as error:
        what = f"this XML is not in the encoding that it declares (byte {error.start + 1} is no {_shown(encoding)})"
        raise refused(source, ProblemKind.XML_BROKEN, what, "save it again as UTF-8") from None


def _encoding_of(data: bytes, source: str) -> str:
    for mark, encoding in _MARKS:
        if data.startswith(mark):
            return encoding
    declared = _DECLARED.match(data)
    if declared is None:
        return "utf-8"
    name = declared[1].decode("ascii")
    try:
        known = codecs.lookup(name).name
    except LookupError:
        known = ""
    if known not in _READ:
        what = f"this XML is in an encoding that is not read, {quoted(name)}"
        raise refused(source, ProblemKind.XML_BROKEN, what, "save it again as UTF-8")
    return "utf-8" if known == "utf-16" else known  # two bytes a sign would have shown themselves above


def _shown(encoding: str) -> str:
    return encoding.upper().removesuffix("-SIG")
