"""What the window's tests share."""

from __future__ import annotations

from tests.companion.window.desk import desk, managed_desk, still

__all__ = ["desk", "managed_desk", "still"]
