"""The drawing of a line of staff in two plain colours, staff lines in one and all else in the other, at a size."""

from __future__ import annotations

from xml.etree.ElementTree import Element, fromstring, register_namespace, tostring

from companion.score.engrave.single.line import SPACE, LineDrawing

_SVG = "{http://www.w3.org/2000/svg}"
register_namespace("", "http://www.w3.org/2000/svg")
register_namespace("xlink", "http://www.w3.org/1999/xlink")


def coloured(drawing: LineDrawing, space: int, above: int, height: int, lines: str, notes: str) -> str:
    """The drawing as SVG of `height` pixels, with `space` pixels between two staff lines.

    above: how many pixels are above the topmost staff line, which stands on whole pixels, as all others then do.
    lines, notes: colours.
    """
    root = fromstring(drawing.svg)
    shapes = next(each for each in root.iter() if each.get("class") == "page-margin")
    for parent in [*shapes.iter()]:
        for unseen in [each for each in parent if "placeholder" in each.get("class", "")]:
            parent.remove(unseen)
    for stroke in shapes.iter():
        if stroke.get("stroke-width"):  # outlines of all else are too thin to be seen, and would take long to draw
            stroke.set("stroke", notes)
    for path in _staff_lines(shapes):
        path.set("stroke", lines)
        path.set("stroke-width", f"{SPACE / space * line_px(space):.2f}")
        path.set("shape-rendering", "crispEdges")
    units = SPACE / space
    half = line_px(space) % 2 / 2  # a line of odd width stands on the middle of a row of pixels
    top = drawing.top_units - (above + half) * units
    width = round(drawing.width * space)
    picture = Element(
        f"{_SVG}svg",
        {
            "width": str(width),
            "height": str(height),
            "viewBox": f"0 {top:.2f} {width * units:.2f} {height * units:.2f}",
        },
    )
    picture.extend(each for each in root if each.tag == f"{_SVG}defs")
    holder = Element(f"{_SVG}g", {"fill": notes, "font-family": "Source Sans Pro"})
    holder.append(shapes)
    picture.append(holder)
    return tostring(picture, encoding="unicode")


def line_px(space: int) -> int:
    """How thick a staff line is, in pixels, where two are `space` apart."""
    return max(1, round(space * 0.11))


def _staff_lines(shapes: Element) -> list[Element]:
    staffs = [each for each in shapes.iter() if each.get("class") == "staff"]
    return [path for staff in staffs for path in staff if path.tag == f"{_SVG}path"]
