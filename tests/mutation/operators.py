"""What may be changed: those operators of cosmic-ray that make slips, and one of our own for numbers."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from itertools import permutations
from typing import Any

from cosmic_ray import plugins
from cosmic_ray.ast import is_number
from cosmic_ray.operators.operator import Operator
from parso.python.tree import Number

FACTORS = (2, 0.5)
# An operator is replaced by its like: shifting a float, or ordering two enums, fails at once and measures no test; and
# "==" for "is" changes nothing where all that is compared are enums and None.
ALIKE = (
    ("BinaryOperator", ("Add", "Sub", "Mul", "Div")),
    ("BinaryOperator", ("Div", "FloorDiv", "Mod")),
    ("BinaryOperator", ("Mul", "Pow")),
    ("BinaryOperator", ("BitOr", "BitAnd", "BitXor")),
    ("BinaryOperator", ("LShift", "RShift")),
    ("ComparisonOperator", ("Eq", "NotEq", "Lt", "LtE", "Gt", "GtE")),
    ("ComparisonOperator", ("Is", "IsNot")),
    ("ComparisonOperator", ("In", "NotIn")),
)
PLAIN = (
    "AddNot",
    "NumberReplacer",
    "RemoveDecorator",
    "ReplaceAndWithOr",
    "ReplaceBreakWithContinue",
    "ReplaceContinueWithBreak",
    "ReplaceFalseWithTrue",
    "ReplaceOrWithAnd",
    "ReplaceTrueWithFalse",
    "ReplaceUnaryOperator_Delete_Not",
    "ReplaceUnaryOperator_Delete_USub",
    "ZeroIterationForLoop",
)


class NumberScaler(Operator):  # type: ignore[misc]  # cosmic-ray publishes no types
    """Doubles and halves a number: one more or less is nothing to a hundred thousand, and too much for a half."""

    def mutation_positions(self, node: Any) -> Iterator[tuple[tuple[int, int], tuple[int, int]]]:
        """Where a number stands, once for each factor; nought stays nought."""
        if is_number(node) and float(node.value):
            for _ in FACTORS:
                yield node.start_pos, node.end_pos

    def mutate(self, node: Any, index: int) -> Any:
        """The number times the factor; a whole one stays whole."""
        whole = node.value.replace("_", "").isdigit()
        scaled = float(node.value) * FACTORS[index]
        return Number(f" {int(scaled) if whole else scaled}", node.start_pos)

    @classmethod
    def examples(cls) -> tuple[Any, ...]:
        """None: cosmic-ray's own tests ask for them."""
        return ()


@cache
def operators() -> dict[str, Operator]:
    """Each operator by its name."""
    pairs = [f"Replace{kind}_{old}_{new}" for kind, alike in ALIKE for old, new in permutations(alike, 2)]
    known = set(plugins.operator_names())
    names = sorted(name for name in {*pairs, *PLAIN} if f"core/{name}" in known)
    return {name: plugins.get_operator(f"core/{name}")() for name in names} | {"NumberScaler": NumberScaler()}
