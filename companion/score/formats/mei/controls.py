"""What stands in a measure of MEI beside its staves: tempo, ties, words, chords, signs over notes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction

from companion.files.lines import one_line
from companion.score.formats.mei.bar_signs import jump_of, passes_of
from companion.score.formats.mei.tempos import tempo_of
from companion.score.formats.xml.tree import Element
from companion.score.model import Tempo

_SIGNS = {"fermata": "fermata", "trill": "trill", "turn": "turn"}
_MORDENTS = {"upper": "uppermordent", "lower": "lowermordent"}
ARTICULATIONS = {
    "stacc": "staccato", "acc": "accent", "ten": "tenuto", "upbow": "upbow", "dnbow": "downbow", "spicc": "wedge",
    "marc": "marcato",
}  # fmt: skip
_LONGEST_LABEL = 40
_IN_LETTERS = str.maketrans({"♯": "#", "♭": "b"})


@dataclass(slots=True)
class Adornments:
    """What stands over one note: a chord, annotations as ABC writes them ("^text"), decorations by name."""

    chord: str = ""
    annotations: list[str] = field(default_factory=list)
    decorations: list[str] = field(default_factory=list)


@dataclass(slots=True)
class Controls:
    """What stands beside the staves of a measure, for one staff.

    ties: ids of notes that a tie follows. over: adornments by the id of their note. at: those by their moment, counted
    in units of the metre from 1. tempo: with its moment. jumps: names with the elements that told them. passes: how
    often the repeat that ends here is played, 0 where it is not told. tuplets: first note, last note, and ratio.
    """

    ties: set[str] = field(default_factory=set)
    over: dict[str, Adornments] = field(default_factory=lambda: defaultdict(Adornments))
    at: dict[float, Adornments] = field(default_factory=lambda: defaultdict(Adornments))
    tempos: list[tuple[float, Tempo]] = field(default_factory=list)
    label: str | None = None
    jumps: list[tuple[str, Element]] = field(default_factory=list)
    ends_phrase: bool = False
    passes: int = 0
    tuplets: list[tuple[str, str, Fraction]] = field(default_factory=list)


def controls_of(measure: Element, staff: str) -> Controls:
    """The controls of a measure that belong to a staff, or to none."""
    controls = Controls()
    for element in _of_staff(measure, staff):
        _take(element, controls)
    return controls


def _of_staff(measure: Element, staff: str) -> Iterator[Element]:
    for element in measure.children:
        if element.tag not in ("staff", "mNum") and (not element.get("staff") or staff in element.get("staff").split()):
            yield element


def _take(element: Element, controls: Controls) -> None:
    match element.tag:
        case "tie":
            controls.ties.add(_target(element))
        case "tempo":
            tempo = tempo_of(element)
            if tempo is not None:
                controls.tempos.append((_moment(element), tempo))
        case "reh":
            controls.label = one_line(element.words()[:_LONGEST_LABEL]) or controls.label
        case "breath" | "caesura":
            controls.ends_phrase = True
        case "harm":
            _over(element, controls).chord = one_line(element.words().translate(_IN_LETTERS))
        case "dir" | "repeatMark" | "dynam":
            _words(element, controls)
        case "fermata" | "trill" | "turn":
            _over(element, controls).decorations.append(_SIGNS[element.tag])
        case "mordent":
            name = _MORDENTS.get(element.get("form"), "lowermordent")
            _over(element, controls).decorations.append(name)
        case "tupletSpan":
            _tuplet(element, controls)


def _words(element: Element, controls: Controls) -> None:
    words = one_line(element.words())
    jump, passes = jump_of(words or element.get("func")), passes_of(words)
    if jump is not None:
        controls.jumps.append((jump, element))
    elif passes is not None:
        controls.passes = passes
    elif words and element.tag == "dir":
        mark = "_" if element.get("place") == "below" else "^"
        _over(element, controls).annotations.append(f"{mark}{words}")


def _over(element: Element, controls: Controls) -> Adornments:
    target = _target(element)
    return controls.over[target] if target else controls.at[_moment(element)]


def _target(element: Element) -> str:
    return element.get("startid").removeprefix("#")


def _moment(element: Element) -> float:
    """The moment of a control event within its measure, 1 being its beginning (data.BEAT)."""
    text = element.get("tstamp")[:12]
    try:
        return max(0.0, min(float(text), 1e6)) if text else 1.0
    except ValueError:
        return 1.0


def _tuplet(element: Element, controls: Controls) -> None:
    notes, time = element.get("num"), element.get("numbase")
    if notes.isdecimal() and time.isdecimal() and 0 < int(notes[:4]) <= 64 and 0 < int(time[:4]) <= 64:
        ends = element.get("endid").removeprefix("#")
        controls.tuplets.append((_target(element), ends, Fraction(int(time), int(notes))))
