"""What short texts mean is worked out once; long texts are not kept."""

from __future__ import annotations

from companion.score.abc.text.remembering import LONGEST_REMEMBERED, remembered


def test_a_short_text_is_worked_out_once() -> None:
    """The same text with the same settings gives the same object, with others it is worked out anew."""
    worked_out: list[tuple[str, int]] = []

    @remembered
    def doubled(text: str, times: int) -> str:
        worked_out.append((text, times))
        return text * times

    assert [doubled("6/8", 2), doubled("6/8", 2), doubled("6/8", 1)] == ["6/86/8", "6/86/8", "6/8"]
    assert worked_out == [("6/8", 2), ("6/8", 1)]


def test_a_long_text_is_not_kept() -> None:
    """Files of noise cannot fill the memory with their fields."""
    worked_out: list[str] = []

    @remembered
    def measured(text: str) -> int:
        worked_out.append(text)
        return len(text)

    longest, longer = "x" * LONGEST_REMEMBERED, "x" * (LONGEST_REMEMBERED + 1)
    assert [measured(text) for text in (longest, longest, longer, longer)] == [64, 64, 65, 65]
    assert worked_out == [longest, longer, longer]
