"""Text from a file or a user, made safe to print: one line, no control characters."""

from __future__ import annotations

LONGEST_QUOTED = 40
"""Characters of a stranger's text that a message repeats: enough to find it, and a line still holds the message."""


def one_line(text: str) -> str:
    """`text` with every character that does not print shown by its code: a newline as ``<0A>``."""
    if text.isprintable():
        return text
    return "".join(sign if sign.isprintable() else f"<{ord(sign):02X}>" for sign in text)


def quoted(text: str) -> str:
    """`text` in quotation marks, as one line, cut after LONGEST_QUOTED characters."""
    shown = text if len(text) <= LONGEST_QUOTED else f"{text[:LONGEST_QUOTED]}…"
    return f"'{one_line(shown)}'"
