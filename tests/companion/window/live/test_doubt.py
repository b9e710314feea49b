"""When a learner is told that it does not sound like the tune."""

from __future__ import annotations

from companion.listen.find.listener import Listener
from companion.window.live.ear import doubt_about, first_notes
from tests.companion.listen.playing import asked_of, played_as, tune_of

MUSIC = "A2B2c2d2|e2f2e2d2|c2B2A2B2|c2d2e2c2|A2c2e2c2|d2f2e2d2|c2e2d2B2|A4A4|" * 2
OTHER = "g2e2g2f2|d2g2a2g2|a2f2d2f2|g2a2g2e2|f2a2g2d2|a2g2d2g2|f2g2a2f2|g4d4|" * 2


def test_nobody_is_told_within_the_first_four_bars() -> None:
    """Sixteen notes; then another tune is told as that, and the tune itself never."""
    asked, other = asked_of(MUSIC), asked_of(OTHER)
    assert first_notes(asked) == 16
    for played, told in ((other, True), (asked, False)):
        listener, doubts = Listener(asked), []
        for event in played_as(played):
            listener.feed(event)
            doubts.append((listener.tally.heard_notes, doubt_about(tune_of(MUSIC), asked, listener)))
        assert not any(doubt for notes, doubt in doubts if notes < 16)
        assert any(doubt for _, doubt in doubts) is told
