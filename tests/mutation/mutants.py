"""The mutants of a module: its source with one place changed."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import count
from pathlib import Path

from cosmic_ray.ast import ast_nodes, get_ast
from cosmic_ray.mutating import mutate_code

from tests.mutation.operators import operators

SCALER = "NumberScaler"
NUMBERS = ("NumberReplacer", SCALER)


@dataclass(frozen=True, slots=True)
class Mutant:
    """One changed module. `was` and `becomes` are the line that differs.

    outside: the line is in no function.
    """

    path: Path
    line: int
    was: str
    becomes: str
    source: str
    outside: bool

    @property
    def module(self) -> str:
        """The module by the name it is imported by."""
        return ".".join(self.path.with_suffix("").parts)

    def __str__(self) -> str:
        return f"{self.path}:{self.line}\n    - {self.was}\n    + {self.becomes}"


def mutants_of(path: Path, every: int) -> Iterator[Mutant]:
    """The mutants of a module, none twice, none that runs as the module itself does.

    every: of all places that can be changed, every so manieth is; numbers outside functions are doubled or halved in
    any case, by turns, and noughts there become one more and one less.
    """
    source = path.read_text(encoding="utf-8")
    stars, seen, inside = _unpacked(source), {_what_runs(source)}, _lines_of_functions(source)
    for name, occurrence, line in _places(source, inside, every):
        mutated = mutate_code(source, operators()[name], occurrence)
        if _unpacked(mutated) == stars and (running := _what_runs(mutated)) not in seen:
            seen.add(running)
            yield Mutant(path, *_difference(source, mutated), mutated, line not in inside)


def _places(source: str, inside: set[int], every: int) -> Iterator[tuple[str, int, int]]:
    """An operator's name, its how manieth place this is, and the line; those of one line follow one another."""
    nodes = list(ast_nodes(get_ast(source)))
    found = []
    for name, operator in operators().items():
        starts = [start for node in nodes for start, _ in operator.mutation_positions(node)]
        found += [(start, name, occurrence) for occurrence, start in enumerate(starts)]
    scaled = {start for start, name, _ in found if name == SCALER}
    others = count()
    for start, name, occurrence in sorted(found):
        turn = name == SCALER and occurrence % 4 in (0, 3)  # double the first number, halve the second, and so on
        is_constant = start[0] not in inside and name in NUMBERS
        if (is_constant and (turn or start not in scaled)) or not next(others) % every:
            yield name, occurrence, start[0]


def _unpacked(source: str) -> int | None:
    """How many stars are no multiplication, which the tool takes them for; None where nothing can be read."""
    try:
        nodes = list(ast.walk(ast.parse(source)))
    except SyntaxError:
        return None
    keywords = sum(len(node.kwonlyargs) for node in nodes if isinstance(node, ast.arguments))
    return keywords + sum(isinstance(node, ast.Starred) for node in nodes)


def _difference(source: str, mutated: str) -> tuple[int, str, str]:
    pairs = zip(source.splitlines(), mutated.splitlines(), strict=False)
    return next((number, old.strip(), new.strip()) for number, (old, new) in enumerate(pairs, 1) if old != new)


def _lines_of_functions(source: str) -> set[int]:
    functions = [node for node in ast.walk(ast.parse(source)) if isinstance(node, ast.FunctionDef | ast.Lambda)]
    return {line for node in functions for line in range(node.lineno, (node.end_lineno or node.lineno) + 1)}


def _what_runs(source: str) -> str:
    """The module's tree without what no run can tell: annotations, and whether dataclasses have slots or are frozen.

    Caches and the `strict` of a zip are left out too: the first changes speed alone, the second only fails where our
    own code is wrong already.
    """
    return ast.dump(_Bare().visit(ast.parse(source)))


class _Bare(ast.NodeTransformer):
    def visit_ClassDef(self, node: ast.ClassDef) -> ast.AST:  # ast's own names
        for decorator in node.decorator_list:
            if isinstance(decorator, ast.Call):
                decorator.keywords = [each for each in decorator.keywords if each.arg not in ("slots", "frozen")]
        return self.generic_visit(node)

    def visit_FunctionDef(self, node: ast.FunctionDef) -> ast.AST:
        node.returns = None
        node.decorator_list = [each for each in node.decorator_list if "cache" not in ast.dump(each)]
        return self.generic_visit(node)

    def visit_arg(self, node: ast.arg) -> ast.AST:
        node.annotation = None
        return node

    def visit_AnnAssign(self, node: ast.AnnAssign) -> ast.AST:
        node.annotation = ast.Constant(None)
        return self.generic_visit(node)

    def visit_Call(self, node: ast.Call) -> ast.AST:
        node.keywords = [each for each in node.keywords if each.arg != "strict"]
        return self.generic_visit(node)
