"""Runs tests against one mutant, in a process of its own; no file is changed."""

from __future__ import annotations

import importlib.abc
import importlib.machinery
import importlib.util
import os
import resource
import sys
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import CodeType, ModuleType

import pytest
from hypothesis import HealthCheck, Phase, settings

from tests.mutation.mutants import Mutant

ROOT = Path(__file__).parents[2]
MEMORY = 3 << 30
SURVIVED = "0"
SLOW = "slow"
INTERNAL = "3"
ENDINGS = (SURVIVED, "1", "2", SLOW)  # 1: a test failed; 2: the mutant could not even be imported
# A loop that never ends is a mutant that was noticed. All in seconds of a processor; tests are measured with a
# profiler, which makes them twice as slow already.
PATIENCE = 1.5
PATIENCE_S = 4.0
LONG_S = 600

# Random order, and every plugin that happens to be installed, would only cost time.
os.environ["PYTEST_DISABLE_PLUGIN_AUTOLOAD"] = "1"

settings.register_profile(
    "mutation",
    derandomize=True,
    database=None,
    deadline=None,
    phases=(Phase.explicit, Phase.generate),
    suppress_health_check=list(HealthCheck),
)


@dataclass(frozen=True, slots=True)
class Measured:
    """One test on the code as it is: how long it takes, and the files whose functions it calls."""

    lasts_s: float
    calls: frozenset[str]


class Trials:
    """Tests of one target, measured once; what has noticed a mutant is asked first about the next."""

    def __init__(self, arguments: Sequence[str]) -> None:
        self.arguments = arguments
        self.measured: dict[str, Measured] = {}
        self.noticed: list[str] = []

    def measure(self) -> None:
        """Run the tests against the code as it is. Raises RuntimeError when they fail."""
        report = self._run(_Measuring(), None, LONG_S)
        if report[0] != SURVIVED:
            raise RuntimeError(f"the tests fail before anything is changed: {report}")
        for line in report[1:]:
            name, lasts, *calls = line.split("\t")
            self.measured[name] = Measured(float(lasts), frozenset(calls))

    def survives(self, mutant: Mutant) -> bool:
        """Whether all tests that concern the mutant pass with it, or there are none."""
        path = str(ROOT / mutant.path)
        concerned = [name for name, test in self.measured.items() if mutant.outside or path in test.calls]
        if not concerned:
            return True
        concerned.sort(key=lambda name: self.measured[name].lasts_s)
        concerned.sort(key=lambda name: self.noticed.index(name) if name in self.noticed else len(self.noticed))
        limit_s = PATIENCE * sum(self.measured[name].lasts_s for name in concerned) + PATIENCE_S
        code, *failed = self._run(_Choosing(concerned), mutant, int(limit_s))
        if code not in ENDINGS:
            raise RuntimeError(f"pytest ended with {code} on {mutant}")
        for name in failed:
            self.noticed = [name, *(each for each in self.noticed if each != name)]
        return code == SURVIVED

    def _run(self, plugin: _Plugin, mutant: Mutant | None, limit_s: int) -> list[str]:
        """What the child says within `limit_s` of a processor: pytest's code (or "slow"), then the plugin's lines."""
        reading, writing = os.pipe()
        child = os.fork()
        if not child:
            os.close(reading)
            _child(self.arguments, writing, plugin, mutant, limit_s)
        os.close(writing)
        with os.fdopen(reading, encoding="utf-8") as pipe:
            lines = pipe.read().splitlines()
        os.waitpid(child, 0)
        return lines or [SLOW]


class _Plugin:
    """What a child has to say, line by line."""

    def __init__(self) -> None:
        self.lines: list[str] = []

    def pytest_sessionstart(self) -> None:
        settings.load_profile("mutation")  # after conftest has loaded its own


class _Measuring(_Plugin):
    """Says how long each test took, and which files it called."""

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_call(self, item: pytest.Item) -> Iterator[None]:
        calls: set[str] = set()
        sys.setprofile(lambda frame, event, _: calls.add(frame.f_code.co_filename) if event == "call" else None)
        began_s = time.process_time()
        try:
            return (yield)
        finally:
            sys.setprofile(None)
            ours = sorted(path for path in calls if path.startswith(str(ROOT)))
            self.lines.append("\t".join((item.nodeid, f"{time.process_time() - began_s:.4f}", *ours)))


class _Choosing(_Plugin):
    """Runs the tests asked for, in this order, and says which failed."""

    def __init__(self, names: Sequence[str]) -> None:
        super().__init__()
        self.places = {name: place for place, name in enumerate(names)}

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        items[:] = sorted(
            (item for item in items if item.nodeid in self.places), key=lambda item: self.places[item.nodeid]
        )

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed:
            self.lines.append(report.nodeid)


class _Finder(importlib.abc.MetaPathFinder):
    """Gives one module another source."""

    def __init__(self, mutant: Mutant) -> None:
        self.module = mutant.module
        self.loader = _Loader(mutant.module, str(ROOT / mutant.path))
        self.loader.source = mutant.source

    def find_spec(
        self, fullname: str, path: Sequence[str] | None, target: ModuleType | None = None
    ) -> importlib.machinery.ModuleSpec | None:
        if fullname != self.module:
            return None
        return importlib.util.spec_from_file_location(fullname, self.loader.path, loader=self.loader)


class _Loader(importlib.machinery.SourceFileLoader):
    source = ""

    def get_code(self, fullname: str) -> CodeType:
        code: CodeType = compile(self.source, self.path, "exec")
        return code


def _child(arguments: Sequence[str], writing: int, plugin: _Plugin, mutant: Mutant | None, limit_s: int) -> None:
    code = INTERNAL
    try:
        resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
        resource.setrlimit(resource.RLIMIT_CPU, (limit_s, limit_s))
        nowhere = os.open(os.devnull, os.O_RDWR)
        for stream in (0, 1, 2):
            os.dup2(nowhere, stream)
        if mutant is not None:
            sys.meta_path.insert(0, _Finder(mutant))
        quiet = ("-x", "-q", "--assert=plain", "-p", "no:cacheprovider")
        code = str(int(pytest.main([*quiet, *arguments], plugins=[plugin])))
    finally:
        with os.fdopen(writing, "w", encoding="utf-8") as pipe:
            pipe.write("\n".join((code, *plugin.lines)))
            pipe.flush()
            os._exit(0)
