"""Names a group of gracenotes by its context, and spells a named embellishment onto a note."""

from fingering.embellishments.catalogue import Entry, catalogue, entries_onto
from fingering.embellishments.choices import notes_before, notes_onto
from fingering.embellishments.family import Embellishment, Family
from fingering.embellishments.naming import recognise, spell, usual_spelling

__all__ = [
    "Embellishment",
    "Entry",
    "Family",
    "catalogue",
    "entries_onto",
    "notes_before",
    "notes_onto",
    "recognise",
    "spell",
    "usual_spelling",
]
