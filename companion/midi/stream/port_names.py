"""Compares port names: which port came back, and which one a user means."""

from __future__ import annotations

import re
from collections.abc import Sequence

from fingering.errors import UserError

# ALSA ends a port's name with the client's number, which changes with every plugging in ("Chanter:Chanter MIDI 1
# 20:0"); JACK numbers clients of one name ("chanter-01:out"), and bridges put the client's number in brackets.
_PASSING = re.compile(r"\s\d+:\d+$|-\d\d(?=:)|\s?\[\d+\]")


def stable_name(name: str) -> str:
    """The part of a port's name that is the same when it comes back."""
    return _PASSING.sub("", name)


def port_returned(name: str, present: Sequence[str]) -> str | None:
    """Which of the ports present is the one called `name` before: by the same name, else by the same stable part."""
    if name in present:
        return name
    return next((other for other in present if stable_name(other) == stable_name(name)), None)


def port_meant(wanted: str, present: Sequence[str]) -> str:
    """The port that a user means by a name or a part of one, in any case. Raises UserError for none and for several."""
    exact = port_returned(wanted, present)
    if exact is not None:
        return exact
    fitting = [name for name in present if wanted.casefold() in name.casefold()]
    if len(fitting) == 1:
        return fitting[0]
    choice = " or ".join(f"'{name}'" for name in fitting or present)
    if fitting:
        raise UserError(f"'{wanted}' fits {len(fitting)} MIDI ports", f"say which: {choice}")
    raise UserError(f"there is no MIDI port '{wanted}'", f"use {choice}" if choice else "plug the instrument in")
