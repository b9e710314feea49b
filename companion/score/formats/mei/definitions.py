"""What is in force on one staff: metre, key, transposition, tempo, the length of notes that tell none."""

from __future__ import annotations

from dataclasses import dataclass, replace

from companion.score.abc.header.keys import Key
from companion.score.abc.header.transposing import Transposition
from companion.score.fitting import FURTHEST
from companion.score.formats.mei.signatures import NO_SIGNATURE, key_of, meter_of
from companion.score.formats.mei.tempos import tempo_in_definition
from companion.score.formats.xml.tree import Element
from companion.score.model import FREE, Meter, Tempo


@dataclass(slots=True)
class StaffInForce:
    """The settings of the staff numbered `number`, as definitions change them.

    label: the staff's name. ppq: the ticks of a crotchet, where notes tell their length in these only, "" for none.
    """

    number: str
    transposition: Transposition
    label: str = ""
    meter: Meter = FREE
    key: Key = NO_SIGNATURE
    tempo: Tempo | None = None
    default_length: str = ""
    ppq: str = ""

    def define(self, definition: Element) -> None:
        """Take over what a `scoreDef`, or a `staffDef` of this staff, says."""
        if definition.tag != "staffDef":
            self._take(definition)
        for staff in definition.inside("staffDef"):
            if staff.get("n") in ("", self.number):
                self._staff(staff)

    def sign(self, element: Element) -> None:
        """Take over a `meterSig` or `keySig` among the notes."""
        if element.tag == "keySig":
            self._key(element.get("sig"), element.get("mode"), element)
        elif element.tag == "meterSig":
            self._meter(element, of_sign=True)

    def transpose(self, transposition: Transposition) -> None:
        """From here on notes sound so much higher than they are written."""
        self.transposition = transposition
        self.key = replace(self.key, shift=transposition.shift)

    def _staff(self, staff: Element) -> None:
        label = staff.first("label")
        self.label = staff.get("label") or (label.words() if label else self.label)
        self._transposed(staff)
        self._take(staff)

    def _take(self, definition: Element) -> None:
        self._attributes(definition)
        for child in definition.children:
            sign = child.first("meterSig") if child.tag == "meterSigGrp" else child
            if sign is not None:
                self.sign(sign)

    def _attributes(self, element: Element) -> None:
        self._meter(element, of_sign=False)
        signature = element.get("keysig") or element.get("key.sig")
        if signature:
            self._key(signature, element.get("key.mode"), element)
        self.default_length = element.get("dur.default") or self.default_length
        self.ppq = element.get("ppq") or self.ppq
        self.tempo = tempo_in_definition(element) or self.tempo

    def _meter(self, element: Element, *, of_sign: bool) -> None:
        prefix = "" if of_sign else "meter."
        meter = meter_of(*(element.get(f"{prefix}{name}") for name in ("count", "unit", "sym")))
        if meter is not None:
            self.meter = meter
        elif of_sign and (element.get("visible") == "false" or element.get("form") == "invis"):
            self.meter = FREE

    def _key(self, signature: str, mode: str, element: Element) -> None:
        accidentals = tuple(child for child in element.children if child.tag == "keyAccid")
        key = key_of(signature, mode, accidentals)
        if key is not None:
            self.key = replace(key, shift=self.transposition.shift)

    def _transposed(self, element: Element) -> None:
        semitones = element.get("trans.semi")
        if semitones:
            try:
                shift = round(float(semitones[:8]))
            except (ValueError, OverflowError):
                return
            self.transpose(self.transposition.by_key(max(-FURTHEST, min(FURTHEST, shift))))
