"""Reads what a MusicXML document says of itself: title, composer, and fields of a heading that it keeps by name."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from companion.files.lines import one_line
from companion.score.formats.kept_fields import KEY_FIELD, is_field_name

KEPT_FIELDS = {"rhythm": "rhythm", "plan": "plan", "reference": "reference"}
"""Names of `miscellaneous-field` elements, with the fields of `Heading` that they hold."""

_LONGEST = 500
_LONGEST_FIELD = 5_000
MOST_FIELDS = 200
"""Fields of ABC that are kept from one document."""

_IN_ORDER = ("work-title", "movement-title", "credit title")


class TitleReader:
    """Is told of elements, and picks those of the heading. fields: those of ABC that are kept by their names."""

    def __init__(self) -> None:
        self._found: dict[str, str] = {}
        self.fields: list[tuple[str, str]] = []
        self._kind = ""
        self._credit = ""

    def begin(self, path: Sequence[str], attributes: dict[str, str]) -> None:
        """An element begins, the last of `path`."""
        if path[-1] == "creator":
            self._kind = attributes.get("type", "")
        elif path[-1] == "miscellaneous-field":
            self._kind = attributes.get("name", "")
        elif path[-1] == "credit":
            self._credit = ""

    def end(self, path: Sequence[str], text: str) -> None:
        """The last element of `path` ends; `text` is what stood in it."""
        tag = path[-1]
        if tag in ("work-title", "movement-title"):
            self._keep(tag, text)
        elif tag == "creator" and self._kind == "composer":
            self._keep("composer", text)
        elif tag == "miscellaneous-field" and self._kind in (*KEPT_FIELDS, KEY_FIELD):
            self._keep(self._kind, text)
        elif tag == "miscellaneous-field" and is_field_name(self._kind) and len(self.fields) < MOST_FIELDS:
            self.fields.append((self._kind, one_line(text.strip()[:_LONGEST_FIELD])))
        elif tag == "credit-type":
            self._credit = text.strip()
        elif tag == "credit-words" and self._credit in ("title", "composer"):
            self._keep(f"credit {self._credit}", text)

    def _keep(self, name: str, text: str) -> None:
        cleaned = one_line(" ".join(text.split())[:_LONGEST])
        if cleaned:
            self._found.setdefault(name, cleaned)

    def heading(self) -> Iterator[tuple[str, str]]:
        """Yield the fields of a heading that were found."""
        title = next((self._found[name] for name in _IN_ORDER if name in self._found), "")
        composer = self._found.get("composer") or self._found.get("credit composer", "")
        kept = ((KEPT_FIELDS[name], self._found.get(name, "")) for name in KEPT_FIELDS)
        yield from ((name, text) for name, text in (("title", title), ("composer", composer), *kept) if text)

    @property
    def key(self) -> str:
        """The name of the key, "" where none is kept."""
        return self._found.get(KEY_FIELD, "")
