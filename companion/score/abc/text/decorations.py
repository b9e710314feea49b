"""Names of decorations, and the letters that stand for them (ABC 2.1 sections 4.14 to 4.16)."""

from __future__ import annotations

import re

DEFAULT_SYMBOLS = {
    ".": "staccato", "~": "roll", "H": "fermata", "L": "accent", "M": "lowermordent", "O": "coda",
    "P": "uppermordent", "S": "segno", "T": "trill", "u": "upbow", "v": "downbow",
}  # fmt: skip
PHRASE_ENDS = frozenset({"shortphrase", "mediumphrase", "longphrase"})

_DEFINITION = re.compile(r"\s*([H-Wh-w~])\s*=\s*(?:!([^!]*)!|\+([^+]*)\+|\"[^\"]*\")\s*")


def read_symbol(text: str) -> tuple[str, str] | None:
    """Read what follows ``U:``: a letter and its decoration, "" for ``!nil!`` and ``!none!``; None if it is neither."""
    match = _DEFINITION.fullmatch(text)
    if match is None:
        return None
    name = match[2] or match[3] or ""
    return match[1], "" if name in ("nil", "none") else name
