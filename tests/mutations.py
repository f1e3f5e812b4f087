"""Comparisons and limits of the physics changed, one at a time: do the tests notice?

    python -m tests.mutations                             # gauge and units, whole
    python -m tests.mutations response units/_number      # some modules
    python -m tests.mutations audit/rules/strength        # all of a folder
    python -m tests.mutations --sample 20 --seed 1        # twenty of all, drawn by the seed

Changed are: a comparison (turned round: < and >=, > and <=, == and !=), a limit (a number that something is
compared with, or a module's own constant, made a tenth larger; the less of two made the greater), a bound
(a clipped value left as it is). Each mutant lives in a process of its own, forked from one that has loaded
the libraries; there the tests run that pass through the changed line, as a first run with `coverage` has
found, the quickest first, until one fails. What survives is printed with its line; `EQUAL` names those that
no test can notice, each with the reason.
"""

from __future__ import annotations

import argparse
import ast
import importlib.abc
import importlib.util
import json
import os
import random
import signal
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from importlib.machinery import ModuleSpec
from pathlib import Path
from types import ModuleType
from typing import Any

ROOT = Path(__file__).parent.parent
MODULES = [
    f"{part}/{path.stem}"
    for part in ("gauge", "units")
    for path in sorted((ROOT / "xlfuncs" / part).glob("*.py"))
    if path.stem != "tabulate"  # a command for contributors
]
TESTS = [
    *(
        "published",
        "doctests",
        "limits",
        "model",
        "whole_gauges",
        "floats",
        "chamber",
        "response",
        "strength",
    ),
    *(
        "fluids",
        "viscosity",
        "heat",
        "ratings",
        "flange_classes",
        "materials",
        "states",
        "signal",
        "switches",
    ),
    *("uncertainty", "choice", "check_float", "diagnosis", "units"),
]
"""Tests that concern the physics and the units."""
TESTS_OF = {
    "audit": ["rule_limits", "further_rules", "rule_edges", "formula_rules", "remedies"],
    "lists": ["reader", "relations", "assignment", "shapes", "cell_values", "layouts", "contractors"],
}
"""Part of the package -> the tests that concern it, where they are others."""
LONGEST = 120
"""Seconds after which a mutant counts as noticed: it hangs."""

EQUAL: dict[str, str] = {
    "audit/rules/float_fluid/floats_exchanged, max(1, gauges.n)  ->  min(1, gauges.n)": "tells ties only",
    "audit/rules/geometry/shared, 1e-09  ->  1.1000000000000001e-09": "rounding of lengths is far below it",
}
"""Changed line -> why it computes the same."""

_TURNED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.GtE,
    ast.LtE: ast.Gt,
    ast.Gt: ast.LtE,
    ast.GtE: ast.Lt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
}
_LESS = {"min": "max", "max": "min", "minimum": "maximum", "maximum": "minimum"}

Place = tuple[int, str, int]
"""Number of the node in the module, kind of change, which part of the node."""


def _number(node: ast.expr) -> bool:
    return (
        isinstance(node, ast.Constant)
        and isinstance(node.value, (int, float))
        and not isinstance(node.value, bool)
        and node.value not in (0, 1)
    )


def _called(node: ast.Call) -> str:
    return node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")


def _of_node(node: ast.AST) -> Iterator[tuple[str, int]]:
    """Changes that a node allows."""
    if isinstance(node, ast.Compare):
        for k, op in enumerate(node.ops):
            if type(op) in _TURNED:
                yield "turned", k
        for k, side in enumerate([node.left, *node.comparators]):
            ordered = any(isinstance(op, (ast.Lt, ast.LtE, ast.Gt, ast.GtE)) for op in node.ops)
            if _number(side) and ordered:
                yield "limit", k
    elif isinstance(node, ast.Call) and _called(node) in _LESS and len(node.args) == 2:
        yield "less", 0
    elif isinstance(node, ast.Call) and _called(node) == "clip":
        yield "clip", 0


def places(source: str) -> list[Place]:
    """All that can be changed in a module."""
    tree = ast.parse(source)
    found = [(i, what, k) for i, node in enumerate(ast.walk(tree)) for what, k in _of_node(node)]
    own = {
        id(node.value) for node in tree.body if isinstance(node, (ast.Assign, ast.AnnAssign)) and node.value
    }
    for i, node in enumerate(ast.walk(tree)):
        if id(node) in own and isinstance(node, ast.Constant) and _number(node):
            found.append((i, "constant", 0))
    return found


def _larger(node: ast.expr) -> ast.Constant:
    assert isinstance(node, ast.Constant)
    value = node.value
    assert isinstance(value, (int, float))
    return ast.Constant(value + max(1, round(value / 10)) if isinstance(value, int) else value * 1.1)


def _bare(node: ast.Call) -> ast.expr:
    """What is clipped."""
    function = node.func
    if isinstance(function, ast.Attribute) and not (
        isinstance(function.value, ast.Name) and function.value.id == "np"
    ):
        return function.value
    return node.args[0]


def changed(source: str, place: Place) -> tuple[str, str, range]:
    """The module with one change, the line as it was and is, and the lines of its statement."""
    index, what, k = place
    tree = ast.parse(source)
    nodes = list(ast.walk(tree))
    node: Any = nodes[index]
    before = ast.unparse(node)
    replaced: ast.AST = node
    if what == "turned":
        node.ops[k] = _TURNED[type(node.ops[k])]()
    elif what == "limit":
        if k:
            node.comparators[k - 1] = _larger(node.comparators[k - 1])
        else:
            node.left = _larger(node.left)
    elif what == "constant":
        node.value = _larger(node).value
    elif what == "less":
        name = _LESS[_called(node)]
        if isinstance(node.func, ast.Attribute):
            node.func.attr = name
        else:
            node.func.id = name
    else:
        replaced = _bare(node)
        _replace(tree, node, replaced)
    lines = _statement(ast.parse(source), node.lineno)
    return ast.unparse(tree), f"line {node.lineno}: {before}  ->  {ast.unparse(replaced)}", lines


def _replace(tree: ast.AST, old: ast.AST, new: ast.AST) -> None:
    for parent in ast.walk(tree):
        for name, value in ast.iter_fields(parent):
            if value is old:
                setattr(parent, name, new)
            elif isinstance(value, list) and any(part is old for part in value):
                setattr(parent, name, [new if part is old else part for part in value])


def _statement(tree: ast.AST, line: int) -> range:
    """Lines of the innermost statement around a line; of one with a body only its head."""
    best = range(line, line + 1)
    for node in ast.walk(tree):
        if isinstance(node, ast.stmt) and node.lineno <= line <= (node.end_lineno or node.lineno):
            body = getattr(node, "body", None)
            last = body[0].lineno - 1 if isinstance(body, list) and body else node.end_lineno or node.lineno
            if node.lineno <= line <= max(last, node.lineno):
                best = range(node.lineno, max(last, node.lineno) + 1)
    return best


class _Mutant(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Imports one module of the package from changed text."""

    def __init__(self, module: str, text: str) -> None:
        self.name = "xlfuncs." + module.replace("/", ".").removesuffix(".__init__")
        self.path, self.text = ROOT / "xlfuncs" / f"{module}.py", text

    def find_spec(self, name: str, path: Any = None, target: Any = None) -> ModuleSpec | None:
        if name != self.name:
            return None
        package = [str(self.path.parent)] if self.path.stem == "__init__" else None
        return importlib.util.spec_from_file_location(
            name, self.path, loader=self, submodule_search_locations=package
        )

    def exec_module(self, module: ModuleType) -> None:
        exec(compile(self.text, str(self.path), "exec"), module.__dict__)


class _Chosen:
    """Plugin of pytest that keeps some tests, in an order."""

    def __init__(self, order: dict[str, int]) -> None:
        self.order = order

    def pytest_collection_modifyitems(self, items: list[Any]) -> None:
        items[:] = sorted(
            (item for item in items if item.nodeid in self.order), key=lambda item: self.order[item.nodeid]
        )


class _Watched:
    """Plugin of pytest that tells coverage which test runs, and keeps how long it takes."""

    def __init__(self, coverage: Any) -> None:
        self.coverage = coverage
        self.seconds: dict[str, float] = {}

    def pytest_runtest_logstart(self, nodeid: str) -> None:
        self.coverage.switch_context(nodeid)

    def pytest_runtest_logreport(self, report: Any) -> None:
        self.seconds[report.nodeid] = self.seconds.get(report.nodeid, 0.0) + report.duration


def _pytest(files: Sequence[str], plugin: object) -> int:
    import pytest

    options = ["-x", "-q", "-p", "no:cacheprovider", "-p", "no:xdist", "-p", "no:benchmark", "-o", "addopts="]
    options += ["--import-mode=importlib", "--hypothesis-profile=few"]
    return int(pytest.main([*options, *files], plugins=[plugin]))


def _files(modules: Sequence[str]) -> list[str]:
    """The test files that concern some modules."""
    parts = dict.fromkeys(module.partition("/")[0] for module in modules)
    names = dict.fromkeys(name for part in parts for name in TESTS_OF.get(part, TESTS))
    return [str(ROOT / "tests" / f"test_{name}.py") for name in names]


def _child(work: Any, seconds: int) -> int:
    """Exit status of `work`, done in silence in a forked process; -1 where it hangs or dies."""
    pid = os.fork()
    if pid == 0:
        status = 9
        try:
            signal.alarm(seconds)
            quiet = os.open(os.devnull, os.O_WRONLY)
            os.dup2(quiet, 1)
            os.dup2(quiet, 2)
            status = work()
        finally:
            os._exit(status)
    code = os.waitpid(pid, 0)[1]
    return os.waitstatus_to_exitcode(code)


def passing_through(modules: Sequence[str]) -> tuple[dict[str, dict[int, set[str]]], dict[str, float]]:
    """Module -> line -> tests that pass through it, and the seconds of each test, by one run of all."""
    with tempfile.TemporaryDirectory() as name:
        kept = Path(name) / "lines.json"
        if _child(lambda: _measure(kept, modules), 3600) != 0:
            raise SystemExit("the tests do not pass as they are: mutants would tell nothing")
        found = json.loads(kept.read_text(encoding="utf-8"))
    lines = {
        module: {int(line): set(tests) for line, tests in of_lines.items()}
        for module, of_lines in found["lines"].items()
    }
    return lines, found["seconds"]


def _measure(kept: Path, modules: Sequence[str]) -> int:
    from coverage import Coverage

    coverage = Coverage(data_file=None, include=[str(ROOT / "xlfuncs" / "*")], config_file=False)
    watched = _Watched(coverage)
    coverage.start()
    status = _pytest(_files(modules), watched)
    coverage.stop()
    data = coverage.get_data()
    lines = {module: data.contexts_by_lineno(str(ROOT / "xlfuncs" / f"{module}.py")) for module in modules}
    kept.write_text(json.dumps({"lines": lines, "seconds": watched.seconds}), encoding="utf-8")
    return status


def _concerned(lines: dict[int, set[str]], at: range, seconds: dict[str, float]) -> dict[str, int]:
    """Tests that pass through the lines, the quickest first; of what runs at import those of the module."""
    tests = set().union(*(lines.get(line, set()) for line in at)) - {""}
    if not tests or any("" in lines.get(line, set()) for line in at):
        tests = set().union(*lines.values(), set()) - {""} or set(seconds)
    return {test: i for i, test in enumerate(sorted(tests, key=lambda test: seconds.get(test, 0.0)))}


def noticed(module: str, text: str, tests: dict[str, int]) -> bool:
    """Whether a test fails on the changed module."""
    if not tests:
        return False
    files = sorted({str(ROOT / test.partition("::")[0]) for test in tests})

    def work() -> int:
        sys.meta_path.insert(0, _Mutant(module, text))
        return _pytest(files, _Chosen(tests))

    return _child(work, LONGEST) != 0


def _modules(name: str) -> list[str]:
    """The module of that name, or all modules of that folder."""
    folder = ROOT / "xlfuncs" / name
    if not folder.is_dir():
        return [name]
    found = (path.relative_to(ROOT / "xlfuncs").with_suffix("") for path in sorted(folder.rglob("*.py")))
    return [path.as_posix() for path in found if path.name != "__init__"]


def _load_libraries() -> None:
    """What every mutant needs and no change touches, so that it is loaded once."""
    for name in ("numpy", "scipy.optimize", "scipy.integrate", "scipy.stats", "hypothesis", "CoolProp"):
        importlib.import_module(name)
    for name in ("CoolProp.CoolProp", "fluids", "ht", "chemicals", "iapws", "pytest", "openpyxl", "pint"):
        importlib.import_module(name)


def main(arguments: list[str]) -> int:
    """Print the survivors and the score; the exit status is 1 where less than 95 % is noticed."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutations")
    parser.add_argument(
        "modules",
        nargs="*",
        help="modules of gauge, FOLDER/NAME, or a folder; none: gauge and units",
    )
    parser.add_argument("--sample", type=int, default=0, help="how many to draw; 0: every one")
    parser.add_argument("--seed", type=int, default=0)
    args = parser.parse_args(arguments)
    named = [name if "/" in name else f"gauge/{name}" for name in args.modules]
    modules = [module for name in named for module in _modules(name)] or MODULES
    texts = {name: (ROOT / "xlfuncs" / f"{name}.py").read_text(encoding="utf-8") for name in modules}
    drawn = [(module, place) for module, text in texts.items() for place in places(text)]
    if args.sample:
        drawn = random.Random(args.seed).sample(drawn, min(args.sample, len(drawn)))
    os.chdir(ROOT)
    _load_libraries()
    begun = time.monotonic()
    lines, seconds = passing_through(modules)
    print(f"tests run once as they are, in {time.monotonic() - begun:.0f} s", flush=True)
    alive, same = 0, 0
    for module, place in drawn:
        text, line, at = changed(texts[module], place)
        if f"{module}, {line.partition(': ')[2]}" in EQUAL:
            same += 1
        elif not noticed(module, text, _concerned(lines[module], at, seconds)):
            alive += 1
            print(f"{module}, {line}", flush=True)
    total = len(drawn) - same
    share = (total - alive) / total if total else 1.0
    print(
        f"{total} comparisons and limits changed, {same} more that compute the same:"
        f" {total - alive} noticed, {alive} not: {share:.1%}, in {(time.monotonic() - begun) / 60:.0f} min"
    )
    return 0 if share >= 0.95 else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
