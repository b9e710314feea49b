"""Recognises files of other formats by their first bytes, and says what they are and what to do with them."""

from __future__ import annotations

import re

_ASK_FOR_ABC = "ask for the tune as ABC text"
_EXPORT = "save it as ABC in the program that made it"
_READ_IT_OFF = "write the tune down as ABC, or look for it as ABC text"

# Signatures as their formats publish them: RFC 8118 (PDF), ISO 15948 (PNG), ITU-T T.81 (JPEG), RP-001 (MIDI),
# APPNOTE 4.3.7 (ZIP); the others from memory.
_SIGNATURES: tuple[tuple[bytes, str, str], ...] = (
    (b"MThd", "a MIDI file", "give a tune as ABC text; a take is given after its tune, as in 'judge TUNE TAKE'"),
    (b"%PDF", "a PDF file", _READ_IT_OFF),
    (b"\x89PNG", "a picture (PNG)", _READ_IT_OFF),
    (b"\xff\xd8\xff", "a picture (JPEG)", _READ_IT_OFF),
    (b"GIF8", "a picture (GIF)", _READ_IT_OFF),
    (b"II*\0", "a picture (TIFF)", _READ_IT_OFF),
    (b"MM\0*", "a picture (TIFF)", _READ_IT_OFF),
    (b"PK\x03\x04", "a packed file (ZIP: compressed MusicXML, a document or an archive)", f"unpack it, or {_EXPORT}"),
    (b"\x1f\x8b", "a packed file (gzip)", "unpack it"),
    (b"7z\xbc\xaf", "a packed file (7z)", "unpack it"),
    (b"Rar!", "a packed file (RAR)", "unpack it"),
    (b"\xd0\xcf\x11\xe0", "an old office document", "save its text as a plain text file"),
    (b"{\\rtf", "a formatted text (RTF)", "save it as plain text"),
    (b"ID3", "a sound recording (MP3)", _ASK_FOR_ABC),
    (b"fLaC", "a sound recording (FLAC)", _ASK_FOR_ABC),
    (b"OggS", "a sound recording (Ogg)", _ASK_FOR_ABC),
    (b"SQLite format 3", "a database", _ASK_FOR_ABC),
)
_RIFF = {b"WAVE": ("a sound recording (WAV)", _ASK_FOR_ABC), b"WEBP": ("a picture (WebP)", _READ_IT_OFF)}

_TEXTS: tuple[tuple[re.Pattern[bytes], str, str], ...] = (
    (re.compile(rb"<(?:!DOCTYPE\s+)?(?:score-partwise|score-timewise|opus)\b"), "a MusicXML score", _EXPORT),
    (re.compile(rb"<(?:!DOCTYPE\s+)?(?:mei|music)\b"), "an MEI score", _EXPORT),
    (
        re.compile(rb"(?i)<(?:!DOCTYPE\s+)?(?:html|head|body)\b"),
        "a web page",
        "open it in a browser and copy the lines from X: on into a text file",
    ),
    (re.compile(rb"(?i)<svg\b"), "a picture (SVG)", _READ_IT_OFF),
    (re.compile(rb"\A\s*<\?xml"), "an XML file", _EXPORT),
    (re.compile(rb"(?m)^\s*\\(?:version|header|score|relative|include|language)\b"), "a LilyPond file", _ASK_FOR_ABC),
)
_LOOKED_AT = 4096
_TUNE = re.compile(rb"(?m)^\s*X:\s*\d")


def foreign_format(data: bytes) -> tuple[str, str] | None:
    """What a file is that is no ABC text, and what to do with it; None where it may be ABC."""
    head = data[:_LOOKED_AT].removeprefix(b"\xef\xbb\xbf")
    for signature, name, remedy in _SIGNATURES:
        if head.startswith(signature):
            return name, remedy
    if head.startswith(b"RIFF") and head[8:12] in _RIFF:
        return _RIFF[head[8:12]]
    if _TUNE.search(head):  # a tune may well quote a tag or a command
        return None
    return next(((name, remedy) for pattern, name, remedy in _TEXTS if pattern.search(head)), None)
