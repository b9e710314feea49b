"""Puts the pictures of an SVG page into the page itself: what is a file within the file has no words to be selected, no
classes and ids to be found, and in many viewers no fonts."""

from __future__ import annotations

import base64
import re

_IMAGE = re.compile(
    r'<image(?P<transform> transform="[^"]*")?[^>]*? xlink:href="data:image/svg\+xml;base64,(?P<data>[^"]*)"'
    r"(?P<size>[^>]*?)/>"
)
_ID = re.compile(r'(?<= id=")[^"]+')
_REFERENCE = re.compile(r'(?<= id=")[^"]+|(?<="#)[^"]+')


def inlined(page: bytes) -> bytes:
    """The page with each SVG that is an image in it as a drawing of its own. An id that is there already becomes
    another one, so that all differ."""
    taken: set[str] = set()
    return _IMAGE.sub(lambda image: _drawing(image, taken), page.decode("utf-8")).encode("utf-8")


def _drawing(image: re.Match[str], taken: set[str]) -> str:
    svg = base64.b64decode(image["data"]).decode("utf-8")
    ids = set(_ID.findall(svg))
    new = {each: f"{each}-{len(taken)}" for each in ids & taken}
    taken |= {new.get(each, each) for each in ids}
    svg = _REFERENCE.sub(lambda name: new.get(name[0], name[0]), svg)
    sized = svg.replace("<svg ", f"<svg{image['size'].rstrip()} ", 1)
    return f"<g{image['transform'] or ''}>{sized}</g>"
