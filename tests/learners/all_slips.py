"""Every slip by its name."""

from __future__ import annotations

from collections.abc import Callable

from companion.listen.model.findings import FindingKind as Fault
from tests.learners import hard_slips, slips
from tests.learners.hands import Hands
from tests.learners.learner import Group, HardSlip, Slip

SLIP_OF: dict[Slip, Callable[[Hands, Group], bool]] = {
    Fault.CROSSING: slips.crossing,
    Fault.MISSING_GRACENOTE: slips.missing_gracenote,
    Fault.EXTRA_GRACENOTE: slips.extra_gracenote,
    Fault.WRONG_GRACENOTE: slips.wrong_gracenote,
    Fault.LONG_GRACENOTE: slips.long_gracenote,
    Fault.UNEVEN: slips.uneven,
    Fault.MISSING_NOTE: slips.missing_note,
    Fault.WRONG_NOTE: slips.wrong_note,
    Fault.EXTRA_NOTE: slips.extra_note,
    Fault.EARLY: slips.early,
    Fault.LATE: slips.late,
    Fault.POINTING: slips.pointing,
    HardSlip.AS_ITS_GRACENOTE: hard_slips.as_its_gracenote,
    HardSlip.AS_NOTE_BEFORE: hard_slips.as_note_before,
    HardSlip.AS_NOTE_AFTER: hard_slips.as_note_after,
    HardSlip.NOTE_AGAIN: hard_slips.note_again,
    HardSlip.NOTE_AGAIN_AFTER_SILENCE: hard_slips.note_again_after_silence,
    HardSlip.BAR_AGAIN: hard_slips.bar_again,
    HardSlip.BAR_AGAIN_AFTER_SILENCE: hard_slips.bar_again_after_silence,
}
