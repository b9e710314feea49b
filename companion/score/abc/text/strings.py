"""Turns the escapes of ABC text strings into characters: backslash mnemonics and entities (ABC 2.1 section 8.2)."""

from __future__ import annotations

import html
import re
import unicodedata

from companion.files.lines import one_line

_ACCENTS = {
    "`": "\u0300", "'": "\u0301", "^": "\u0302", "~": "\u0303", '"': "\u0308", "=": "\u0304", "u": "\u0306",
    "v": "\u030c", "H": "\u030b", ".": "\u0307", ",": "\u0327", "c": "\u0327", ";": "\u0328", "r": "\u030a",
}  # fmt: skip
_WHOLE = {
    "AE": "Æ", "ae": "æ", "OE": "Œ", "oe": "œ", "ss": "ß", "DH": "Ð", "dh": "ð", "TH": "Þ", "th": "þ",
    "AA": "Å", "aa": "å", "/O": "Ø", "/o": "ø",
}  # fmt: skip
_ESCAPE = re.compile(r"\\(?:u([0-9a-fA-F]{4})|U([0-9a-fA-F]{8})|(/?[A-Za-z]{1,2})|([^\w\s])([A-Za-z])|([\\%&]))")

_BLANK = re.compile(r"\s")


def plain_text(text: str) -> str:
    r"""`text` with ``\'e``, ``\u00e9``, ``&eacute;`` and their kin replaced; what is unknown stays as written.

    Titles and their kin are shown on terminals, so no sign is left that would not print: blanks of every sort become
    plain ones, and other signs are shown by their code.
    """
    if "\\" in text:
        # A protected ampersand must not start an entity in the second step.
        text = _ESCAPE.sub(_character, text)
    text = (html.unescape(text) if "&" in text else text).replace("\ue000", "&")
    return text if text.isprintable() else one_line(_BLANK.sub(" ", text))


def _character(match: re.Match[str]) -> str:
    short, long, letters, accent, base, literal = match.groups()
    if literal:
        return "\ue000" if literal == "&" else str(literal)
    if short or long:
        code = int(short or long, 16)
        return chr(code) if code < 0x110000 and not 0xD800 <= code < 0xE000 else str(match[0])
    if letters:
        return _lettered(letters) or str(match[0])
    return _accented(accent, base) or str(match[0])


def _lettered(letters: str) -> str | None:
    if letters in _WHOLE:
        return _WHOLE[letters]
    return _accented(letters[0], letters[1]) if len(letters) == 2 else None


def _accented(accent: str, base: str) -> str | None:
    mark = _ACCENTS.get(accent)
    whole = unicodedata.normalize("NFC", base + mark) if mark else ""
    return whole if len(whole) == 1 else None
