"""Draws the finger movements of an embellishment for paper, in black alone: a filled bar is a closed hole, a hollow one
an open hole."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from xml.etree.ElementTree import Element, SubElement, tostring

from companion.lesson.page.strips import LANE, LEFT, TOP, Box, StripPicture
from fingering.holes import Finger

UNIT = 1.5
"""Tenths of a millimetre on paper to one unit of a `StripPicture`: a lane is 2.25 mm high, a gracenote 6.6 mm long."""

_ABOVE, _BELOW = 2.0, 28.0
"""Units around the lanes: nothing above them but half a stroke, the letters below."""
_LETTERS = 24.0
_HANDS_WIDTH, _HANDS_SIZE = 66.0, 17.0
_SANS = "Source Sans Pro, sans-serif"


@dataclass(frozen=True, slots=True)
class DrawnStrip:
    """A picture as SVG, its width and height on paper in tenths of a millimetre."""

    svg: str
    width: float
    height: float


def drawn(picture: StripPicture) -> DrawnStrip:
    """The strip of an embellishment, without the names of the fingers, which stand once in front of several."""
    first_y, bottom = picture.fingers[0][1], picture.fingers[-1][1] + LANE
    root = _root(LEFT - 1.0, first_y - _ABOVE, picture.width - LEFT + 2.0, bottom - first_y + _ABOVE + _BELOW)
    for x in picture.edges:
        line = {"d": f"M{x:.1f} {first_y:.1f}V{bottom + 3:.1f}", "stroke": "#888", "stroke-width": "0.8"}
        SubElement(root, "path", line)
    _add_boxes(root, picture.opened, {"fill": "#fff", "stroke": "#000", "stroke-width": "1"}, inset=2.2)
    _add_boxes(root, picture.closed, {"fill": "#000"}, inset=-0.6)
    for rank, (x, letter) in enumerate(picture.letters):
        last = rank == len(picture.letters) - 1
        words = {"x": f"{x + 3:.1f}", "y": f"{bottom + 22:.1f}", "font-family": _SANS, "font-size": f"{_LETTERS:g}"}
        SubElement(root, "text", words | ({"font-weight": "bold"} if last else {})).text = letter
    return _as_drawn(root)


def hands(picture: StripPicture) -> DrawnStrip:
    """What stands in front of strips: which lanes are the thumb's, the upper hand's and the lower hand's."""
    tops = {finger: y for finger, (_, y) in zip(Finger, picture.fingers, strict=True)}
    bottom = picture.fingers[-1][1] + LANE
    root = _root(0.0, TOP - _ABOVE, _HANDS_WIDTH, bottom - TOP + _ABOVE + _BELOW)
    groups = (
        ("thumb", Finger.THUMB, Finger.THUMB),
        ("upper", Finger.UPPER_INDEX, Finger.UPPER_RING),
        ("lower", Finger.LOWER_INDEX, Finger.LOWER_LITTLE),
    )
    for words, first, last in groups:
        top, end = tops[first] + 2.0, tops[last] + LANE - 2.0
        at = {"x": f"{_HANDS_WIDTH - 9:.1f}", "y": f"{(top + end) / 2 + _HANDS_SIZE * 0.32:.1f}", "text-anchor": "end"}
        SubElement(root, "text", at | {"font-family": _SANS, "font-size": f"{_HANDS_SIZE:g}"}).text = words
        brace = {"d": f"M{_HANDS_WIDTH - 4:.1f} {top:.1f}V{end:.1f}", "stroke": "#000", "stroke-width": "1.2"}
        SubElement(root, "path", brace)
    return _as_drawn(root)


def _root(x: float, y: float, width: float, height: float) -> Element:
    return Element(
        "svg", {"xmlns": "http://www.w3.org/2000/svg", "viewBox": f"{x:.1f} {y:.1f} {width:.1f} {height:.1f}"}
    )


def _add_boxes(root: Element, boxes: Iterable[Box], look: dict[str, str], *, inset: float) -> None:
    for x, y, width, height in boxes:
        place = {"x": x + 0.6, "y": y + inset, "width": width - 1.2, "height": height - 2 * inset, "rx": 2.0}
        SubElement(root, "rect", {name: f"{value:.1f}" for name, value in place.items()} | look)


def _as_drawn(root: Element) -> DrawnStrip:
    *_, width, height = map(float, root.get("viewBox", "").split())
    return DrawnStrip(tostring(root, encoding="unicode"), width * UNIT, height * UNIT)
