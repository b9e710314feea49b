"""The two colour themes, paper and night: every colour of the window is here and nowhere else."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from companion.window.core.marks import Role

Colour = tuple[int, int, int]


def _hex(text: str) -> Colour:
    return int(text[1:3], 16), int(text[3:5], 16), int(text[5:7], 16)


def _roles(**named: str) -> Mapping[Role, Colour]:
    return MappingProxyType({Role[name.upper()]: _hex(text) for name, text in named.items()})


@dataclass(frozen=True, slots=True, eq=False)
class Theme:
    """The colour of each role, and those of what is drawn: wood with its light and edge, skin and its line."""

    name: str
    roles: Mapping[Role, Colour]
    wood: Colour
    wood_light: Colour
    wood_edge: Colour
    skin: Colour
    skin_light: Colour
    skin_line: Colour
    hole: Colour
    hole_rim: Colour

    def __getitem__(self, role: Role) -> Colour:
        return self.roles[role]


PAPER = Theme(
    name="paper",
    roles=_roles(
        ground="#f5f2ea",
        ink="#20242b",
        quiet="#5c5f63",
        hair="#d8d3c4",
        past="#85837c",
        played="#0067a3",
        fault="#a94300",
        guide="#00705a",
        wash="#ebe6d8",
    ),
    wood=_hex("#382820"),
    wood_light=_hex("#7a5a48"),
    wood_edge=_hex("#20150f"),
    skin=_hex("#e2b297"),
    skin_light=_hex("#f0cdb8"),
    skin_line=_hex("#a4684a"),
    hole=_hex("#120c09"),
    hole_rim=_hex("#f5f2ea"),
)
NIGHT = Theme(
    name="night",
    roles=_roles(
        ground="#14171c",
        ink="#ece7da",
        quiet="#a5a49c",
        hair="#2d323a",
        past="#747a80",
        played="#5cb8ea",
        fault="#f0913a",
        guide="#42c9a2",
        wash="#1f242b",
    ),
    wood=_hex("#5a4031"),
    wood_light=_hex("#9a765e"),
    wood_edge=_hex("#332319"),
    skin=_hex("#c4977e"),
    skin_light=_hex("#dab59f"),
    skin_line=_hex("#f0d3c2"),
    hole=_hex("#0b0806"),
    hole_rim=_hex("#f3ece0"),
)
THEMES = (PAPER, NIGHT)
