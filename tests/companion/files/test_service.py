"""How a process that serves takes its orders. With the other end of it: tests/companion/midi/ports/test_system.py."""

from __future__ import annotations

import io
import sys
import time

import pytest

from companion.files.service import Orders

GIVES_UP_S = 10.0


@pytest.mark.parametrize("more", [b"", b'no order\n["list"]\n', b'["in", 1, "\xff"]\n'])
def test_orders_are_over_when_no_more_can_be_read(more: bytes, monkeypatch: pytest.MonkeyPatch) -> None:
    """At the end of the input, and at a line that is no order: or the process would stay, and nobody could reach it."""
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(b'["list"]\n["close", 1]\n' + more)))
    orders = Orders()
    gives_up_s = time.monotonic() + GIVES_UP_S
    while not orders.over:
        assert time.monotonic() < gives_up_s
        time.sleep(0.002)
    assert list(orders.waiting) == [["list"], ["close", 1]]
