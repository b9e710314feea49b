"""How wide bars will be on a staff, reckoned without engraving them: a screen must be laid out at once."""

from __future__ import annotations

from companion.score.engrave.line_breaks import BarWidths
from companion.score.model import Tune

# In spaces of the staff, fitted to `pages.bar_widths` of all our tunes and drills: a line of two phrases comes out
# within 10 % in nine of ten. One that is wider than its room is drawn a little smaller.
LEAD = 6.8
OF_BAR, OF_NOTE, OF_GRACENOTE = 7.2, 1.6, 1.12


def reckoned_widths(tune: Tune) -> BarWidths:
    """How wide each bar of a tune will be about, and clef with key signature, in spaces between two staff lines."""
    return BarWidths(
        tuple(OF_BAR + sum(OF_NOTE + OF_GRACENOTE * len(note.gracenotes) for note in bar.notes) for bar in tune.bars),
        LEAD,
    )
