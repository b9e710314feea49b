"""Writes texts so that ABC reads them as they are (ABC 2.1 section 8.2)."""

from __future__ import annotations

from companion.score.form.passes import is_worded_ending

# Signs that mean something in a text: as entities in fields, and as code points between quotation marks, where an
# ampersand would begin another voice.
_IN_FIELD = str.maketrans({"\\": r"\u005c", "%": r"\u0025", "&": "&amp;"})
_IN_QUOTATION = str.maketrans({"\\": r"\u005c", "%": r"\u0025", "&": r"\u0026", '"': r"\u0022"})


def escaped(text: str) -> str:
    """A text for a field, with what would mean something written otherwise."""
    return text.translate(_IN_FIELD)


def quoted_text(text: str) -> str:
    """A text between quotation marks: a chord name or an annotation, never taken for the words of an ending."""
    safe = text.translate(_IN_QUOTATION)
    if is_worded_ending(text):
        safe = f"{text[:1]}\\u{ord(text[1]):04x}{text[2:]}"
    return f'"{safe}"'
