"""Random transitions for property tests."""

from __future__ import annotations

from hypothesis import strategies as st

from fingering.crossings.transition import Transition
from fingering.holes import HoleState

transitions = (
    st.tuples(st.integers(0, 255), st.integers(0, 255))
    .filter(lambda pair: pair[0] != pair[1])
    .map(lambda pair: Transition(HoleState(pair[0]), HoleState(pair[1])))
)
