"""Comparisons and limits of the physics changed, one at a time: do the tests notice?

    python -m tests.mutations                             # gauge and units, whole
    python -m tests.mutations response units/_number      # some modules
    python -m tests.mutations audit/rules                 # all of a folder
    python -m tests.mutations --sample 20 --seed 1        # twenty of all, drawn by the seed

Changed are: a comparison (turned round: < and >=, > and <=, == and !=), a limit (a number that something is
compared with, or a module's own constant, made a tenth larger; the less of two made the greater), a bound
(a clipped value left as it is). All tests are collected and run once with `coverage`; then each mutant lives
in a process forked from that: its functions get the changed code, and the tests run that pass through the
changed line until one fails, first those of files that import the module, the quickest first. What runs at
import is imported anew, which takes longer.
First a module is held as it is: a run in which that is noticed would notice everything, and stops. `--kept`
keeps what was traced for further runs, `--within` holds each mutant for so long only. What survives is
printed with its line; `EQUAL` names those that no test can notice, each with the reason.
"""

from __future__ import annotations

import argparse
import ast
import functools
import gc
import hashlib
import importlib.abc
import importlib.util
import itertools
import math
import os
import pickle
import random
import signal
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from importlib.machinery import ModuleSpec
from multiprocessing import get_context
from pathlib import Path
from types import CodeType, FunctionType, ModuleType
from typing import Any

ROOT = Path(__file__).parent.parent
MODULES = [
    f"{part}/{path.stem}"
    for part in ("gauge", "units")
    for path in sorted((ROOT / "xlfuncs" / part).glob("*.py"))
    if path.stem != "tabulate"  # a command for contributors
]
DIAGNOSIS = frozenset(
    f"gauge/{name}"
    for name in (
        "causes",
        "diagnosis",
        "evidence",
        "faulty",
        "guide",
        "leaning",
        "observations",
        "pairs",
        "questions",
        "readings",
    )
)
TESTS = {
    "diagnosis": ("causes", "diagnosis", "ask", "misled"),
    "units": ("units", "cell_values"),
    "physics": (
        *("published", "doctests", "physics_limits", "model", "whole_gauges", "bounds", "floats", "chamber"),
        *("response", "strength", "fluids", "viscosity", "heat", "ratings", "flange_classes", "materials"),
        *("states", "signal", "switches", "uncertainty", "choice", "worst_case_decides", "check_float"),
        *("sized_floats", "possible_numbers"),
    ),
    "audit": (
        *("rule_limits", "further_rules", "rule_edges", "formula_rules", "more_limits", "stated_ranges"),
        *("test_pressures", "remedies", "calculations", "evidence", "questions", "revisions"),
        *("rules", "written", "audit_edges", "gauges_in_memory", "audit_in_memory", "own_rules"),
        *("rules_in_memory", "answers_in_memory", "workings_in_memory", "rounded_lists"),
        *("remedies_taken", "remedies_worst", "remedies_by_hand", "remedies_of_ranges", "remedies_parts"),
        *("remedies_set_points", "remedies_states", "remedies_tags", "remedies_made_floats"),
        *("remedies_following", "remedies_values", "remedies_of_rows"),
    ),
    "lists": (
        *("reader", "relations", "assignment", "shapes", "cell_values", "layouts", "contractors"),
        *("stated_cases", "list_limits", "reading_file", "advice", "column_evidence", "structures"),
        *("field_sheet", "reading_heads", "own_headings", "what_was_read", "two_things", "words"),
        *("long_columns", "switch_words", "connections_read", "xls", "columns_beside", "heads_and_rows"),
        *("shapes_in_memory", "nearest_list", "forms_in_memory", "parts_of_sheets"),
        *("relations_in_memory", "documents_joined", "field_notes", "set_upright"),
        *("columns_settled", "what_columns_may_be", "what_is_meant", "columns_decided"),
        *("columns_of_cells", "rows_accounted", "bills_and_points", "cases_in_memory"),
        *("units_in_columns", "properties_of_gauges"),
        *("labels_above_lists", "headings_of_columns", "labels_of_forms", "columns_judged"),
        *("said_of_columns", "known_again", "how_it_was_read", "where_lists_stand"),
        *("measured_otherwise", "gauges_selected", "shape_taken", "tables_in_memory"),
        *("columns_support", "what_texts_say", "rows_of_lists"),
        *("tags_of_instruments", "turned_lists"),
    ),
}
"""Tests that concern a part: tests/test_NAME.py."""


def part_of(module: str) -> str:
    """Which part a module belongs to."""
    if module in DIAGNOSIS:
        return "diagnosis"
    folder = module.partition("/")[0]
    return folder if folder in TESTS else "physics"


def modules_of(name: str) -> list[str]:
    """The module of that name, or all modules of that folder."""
    folder = ROOT / "xlfuncs" / name
    if not folder.is_dir():
        return [name]
    found = (path.relative_to(ROOT / "xlfuncs").with_suffix("") for path in sorted(folder.rglob("*.py")))
    return [path.as_posix() for path in found if path.name != "__init__"]


LONGEST = 120
"""Seconds after which a mutant counts as noticed, since it hangs: above five times what its tests took."""

_QUICK = "a quick way for scalars or long arrays: both ways compute the same"
_HALVED = "halvings: six more are below the last digit of a double"
_HAIR = "a slack for rounding: nothing that is stated differs by so little"
_FINE = (
    "how finely values are tried: ln of the evidence moves by 0.54 at most (111 fits), a verdict needs ln 100"
)
EQUAL: dict[str, str] = {
    "gauge/floats, np.ndim(low) == np.ndim(high) == 0  ->  np.ndim(low) != np.ndim(high) == 0": _QUICK,
    "gauge/_state, 1e-06  ->  1.1e-06": _HAIR,
    "gauge/choice, 1e-09  ->  1.1000000000000001e-09": _HAIR,
    "gauge/density, 1e-09  ->  1.1000000000000001e-09": _HAIR,
    "gauge/ratings, 1e-06  ->  1.1e-06": _HAIR,
    "gauge/sizing, 64  ->  70": "lengths judged together: the same floats are found",
    "gauge/evidence, 161  ->  177": _FINE,
    "gauge/evidence, 20  ->  22": _FINE,
    "gauge/evidence, 6  ->  7": _FINE,
    "gauge/evidence, 41  ->  45": _FINE,
    "gauge/evidence, 21  ->  23": _FINE,
    "gauge/evidence, 4  ->  5": _FINE,
    "gauge/evidence, 2  ->  3": _FINE,
    "gauge/guide, 60  ->  66": "draws of an answer that is weighed: more of them, and none decides",
    "gauge/guide, 7  ->  8": "a seed",
    "gauge/signal, 1e-09  ->  1.1000000000000001e-09": _HAIR,
    "gauge/heat, 1e-09  ->  1.1000000000000001e-09": _HAIR,
    "gauge/coupling, 60  ->  66": _HALVED,
    "gauge/floats, 60  ->  66": _HALVED,
    "gauge/layers, 60  ->  66": _HALVED,
    "units/_convert, 12  ->  13": "Newton's steps: five give every digit",
    "units/_find, 5  ->  6": "no spelling of a unit has more than four words",
    "units/_pipe, 0.0005  ->  0.00055": "no two series of pipes differ by 0.5 to 0.55 mm",
    "gauge/layers, 64  ->  70": "slices of a linear layer: both are finer than any tolerance",
    "gauge/density, 60  ->  66": _HALVED,
    "audit/rules/float_fluid/floats_exchanged, max(1, gauges.n)  ->  min(1, gauges.n)": "tells ties only",
    "audit/working, 1e-12  ->  1.1000000000000002e-12": _HAIR,
    "audit/engine, 0.7  ->  0.77": "a share of the progress that is told",
    "audit/working, max(abs(number), abs(zero))  ->  min(abs(number), abs(zero))": "alike where it decides",
    "audit/working, abs(value) >= 10000  ->  abs(value) >= 11000": "five digits are whole as well",
    "audit/workings/balance, 1e-12  ->  1.1000000000000002e-12": _HAIR,
    "audit/evidence, abs(float(end[record]) - value) <= 1e-06"
    "  ->  abs(float(end[record]) - value) <= 1.1e-06": _HAIR,
    "audit/written, 1e-09  ->  1.1000000000000001e-09": _HAIR,
    "audit/rules/sheet/cell_error, c.state == State.ERROR  ->  c.state != State.ERROR": (
        "refusals are looked for only where an error stands: the others would not be told"
    ),
    "audit/measure, abs(self.value) >= 1000  ->  abs(self.value) >= 1100": "four digits are whole as well",
    "lists/accounts, 2.5  ->  2.75": "a place between two others in an order",
    "audit/rules/geometry/shared, 1e-09  ->  1.1000000000000001e-09": _HAIR,
    "audit/remedies/setpoints, abs(point - stated[name]) > 1e-09"
    "  ->  abs(point - stated[name]) > 1.1000000000000001e-09": _HAIR,
    "audit/remedies/following, 26  ->  29": "halvings: three more are below the digits that are shown",
    "audit/remedies/following, 1e-09  ->  1.1000000000000001e-09": "a hair, and a viscosity without drag",
    "audit/remedies/trial, 40  ->  44": "steps: what settles does so in a few, and the rest never",
    "audit/remedies/trial, 1e-07  ->  1.1e-07": _HAIR,
    "gauge/floats, names == names.flat[0]  ->  names != names.flat[0]": _QUICK,
}
"""Changed line -> why no test can notice."""

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
        self.name = _dotted(module)
        self.path, self.text = _path(module), text

    def find_spec(self, name: str, path: Any = None, target: Any = None) -> ModuleSpec | None:
        if name != self.name:
            return None
        package = [str(self.path.parent)] if self.path.stem == "__init__" else None
        return importlib.util.spec_from_file_location(
            name, self.path, loader=self, submodule_search_locations=package
        )

    def exec_module(self, module: ModuleType) -> None:
        exec(compile(self.text, str(self.path), "exec"), module.__dict__)


def _path(module: str) -> Path:
    return ROOT / "xlfuncs" / f"{module}.py"


def _dotted(module: str) -> str:
    return "xlfuncs." + module.replace("/", ".").removesuffix(".__init__")


def _codes(code: CodeType) -> Iterator[CodeType]:
    """The code of each function of a module, of those within functions as well."""
    for part in code.co_consts:
        if isinstance(part, CodeType):
            yield part
            yield from _codes(part)


def exchange(module: str, text: str) -> bool:
    """Give the loaded functions of a module the code of the changed text; False where they do not tell apart.

    Only the code within functions is exchanged: what a module computes when it is imported stays as it was.
    """
    path = str(_path(module))
    new: dict[str, list[CodeType]] = {}
    for code in _codes(compile(text, path, "exec")):
        new.setdefault(code.co_qualname, []).append(code)
    for function in _functions(path):
        found = new.get(function.__code__.co_qualname, [])
        if len(found) != 1 or found[0].co_freevars != function.__code__.co_freevars:
            if any(not _alike(function.__code__, code) for code in found) or not found:
                return False
            continue
        function.__code__ = found[0]
    for kept in _caches():
        kept.cache_clear()
    return True


@functools.cache
def _functions(path: str) -> list[FunctionType]:
    """The loaded functions of a file."""
    every = [x for x in gc.get_objects() if isinstance(x, FunctionType)]
    return [function for function in every if function.__code__.co_filename == path]


@functools.cache
def _caches() -> list[Any]:
    """What functions of the package remember; tables of data stay as they are."""
    every = [x for x in gc.get_objects() if isinstance(x, functools._lru_cache_wrapper)]
    return [x for x in every if x.__module__.startswith("xlfuncs.") and x.__module__ != "xlfuncs.data"]


def _looked_up(modules: Sequence[str]) -> None:
    """Find once what each mutant exchanges, and leave all that is loaded out of the collection of garbage: a
    fork that went through all objects would copy them."""
    gc.unfreeze()  # what `conftest` has left out would not be found
    for module in modules:
        importlib.import_module(_dotted(module))
        if not _functions(str(_path(module))):
            raise RuntimeError(f"no function of {module} is found: no change of it would have an effect")
    _caches()
    gc.collect()
    gc.freeze()


def _alike(one: CodeType, other: CodeType) -> bool:
    """Whether two codes do the same, their lines apart."""
    consts = zip(one.co_consts, other.co_consts, strict=False)
    return (
        one.co_code == other.co_code
        and len(one.co_consts) == len(other.co_consts)
        and all(_alike(a, b) if isinstance(a, CodeType) else a == b for a, b in consts)
    )


Mutants = Sequence[tuple[str, Place]]


def _spent() -> float:
    """Seconds of processor time, those of finished child processes as well."""
    return time.process_time() + sum(os.times()[2:4])


class _Bench:
    """Plugin of pytest that holds the collected tests against mutants, each in a fork.

    First all tests run once as they are, and coverage tells which pass through which line.
    """

    def __init__(
        self, texts: dict[str, str], drawn: Mutants, report: Callable[[str, str, str], None]
    ) -> None:
        self.texts, self.drawn, self.report = texts, drawn, report
        self.coverage: Any = None
        self.tracing = True
        self.quick = self.within = math.inf
        self.kept: Path | None = None
        self.known: set[str] = set()
        """Tests that an earlier run has timed and traced."""
        self.begun = 0.0
        self.seconds: dict[str, float] = {}
        self.lines: dict[str, dict[int, set[str]]] = {}

    def pytest_collection_modifyitems(self, items: list[Any]) -> None:
        items[:] = [item for item in items if "takes_long" not in item.nodeid]  # a busy machine fails them

    def pytest_runtest_logstart(self, nodeid: str) -> None:
        self.begun = _spent()
        if self.tracing:  # no more in the forks, whose tests it would fail
            self.coverage.switch_context(nodeid)

    def pytest_runtest_logfinish(self, nodeid: str) -> None:
        """Processor time: by the clock of a busy machine few tests would run within the time given."""
        self.seconds[nodeid] = _spent() - self.begun

    def pytest_runtestloop(self, session: Any) -> bool:
        begun = time.monotonic()
        self._recall(session)
        new = [item for item in session.items if item.nodeid not in self.known]
        for item in new[:1] + new:  # the first one loads what all need: its second run is timed
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=None)
            if session.testsfailed:
                self.report("", "", f"left out, does not pass as it is: {item.nodeid}")
                session.items[:] = [other for other in session.items if other is not item]
                session.testsfailed = 0
                session.shouldfail = False
        self.coverage.stop()
        self.tracing = False
        self._remember(session)
        self.report("", "", f"tests run once as they are, in {time.monotonic() - begun:.0f} s")
        _looked_up([module for module, _ in self.drawn])
        self._control(session)
        for n, (module, place) in enumerate(self.drawn):
            print(f"{n} of {len(self.drawn)}, {time.monotonic() - begun:.0f} s", file=sys.stderr, flush=True)
            text, line, at = changed(self.texts[module], place)
            self.report(module, line, "" if self._noticed(session, module, text, at, place) else "alive")
        return True

    def _control(self, session: Any) -> None:
        """A module that was not changed must not be noticed, or every mutant would be."""
        for module, place in self.drawn:
            at = changed(self.texts[module], place)[2]
            if any(self.lines[module].get(line, set()) - {""} for line in at):
                within, self.within = self.within, 5.0
                if self._noticed(session, module, self.texts[module], at, place):
                    raise session.Failed(f"{module} is noticed as it is: mutants would tell nothing")
                self.within = within
                return

    def _recall(self, session: Any) -> None:
        """What an earlier run saw of tests that are as they were and pass through no changed module."""
        if self.kept is None or not self.kept.is_file():
            return
        package, files, seconds, lines = pickle.loads(self.kept.read_bytes())
        now = _package()
        changed_since = [module for module in package | now if package.get(module) != now.get(module)]
        anew = set().union(*(tests for module in changed_since for tests in lines.pop(module, {}).values()))
        same = {name for name, digest in files.items() if digest == _digest([ROOT / name])}
        self.known = {test for test in seconds if test.partition("::")[0] in same} - anew
        self.seconds = {test: seconds[test] for test in self.known}
        self.lines = {
            module: {
                line: {test for test in tests if not test or test in self.known} for line, tests in at.items()
            }
            for module, at in lines.items()
        }

    def _remember(self, session: Any) -> None:
        """Which tests pass through which line, and how long they take; kept for a further run."""
        data = self.coverage.get_data()
        for path in sorted((ROOT / "xlfuncs").rglob("*.py")):
            module = path.relative_to(ROOT / "xlfuncs").with_suffix("").as_posix()
            here = self.lines.setdefault(module, {})
            for line, tests in data.contexts_by_lineno(str(path)).items():
                here.setdefault(line, set()).update(tests)
        if self.kept is not None:
            files = {
                name: _digest([ROOT / name]) for name in {test.partition("::")[0] for test in self.seconds}
            }
            self.kept.write_bytes(pickle.dumps((_package(), files, self.seconds, self.lines)))

    def _noticed(self, session: Any, module: str, text: str, at: range, place: Place) -> bool:
        """Whether a test fails on the changed module."""
        lines = self.lines[module]
        name, used = _constant(self.texts[module], place)
        name = "" if name in _shared_names() else name
        at_use = {line: lines.get(line, set()) - {""} for line in used}
        tests = (
            _concerned(at_use, range(min(used), max(used) + 1), self.seconds, module)
            if name and used
            else _concerned(lines, at, self.seconds, module)
        )
        tests = {test: n for test, n in tests.items() if self.seconds.get(test, 0.0) <= self.quick}
        total = itertools.accumulate(self.seconds.get(test, 0.0) for test in tests)
        tests = {
            test: n for (test, n), spent in zip(tests.items(), total, strict=True) if spent <= self.within
        }
        if not tests:
            return False
        longest = LONGEST + 5 * math.ceil(sum(self.seconds.get(test, 0.0) for test in tests))
        if name or all("" not in lines.get(line, set()) for line in at):
            code = _child(lambda: self._run(session, module, text, tests, name), longest)
            if code != _APART:
                return code != 0
        return noticed(module, text, tests, longest)

    def _run(self, session: Any, module: str, text: str, tests: dict[str, int], name: str = "") -> int:
        if name:
            setattr(sys.modules[_dotted(module)], name, _value(text, name))
        if not exchange(module, text):
            return _APART
        chosen = [item for item in session.items if item.nodeid in tests]
        for item in sorted(chosen, key=lambda item: tests[item.nodeid]):
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=None)
            if session.testsfailed:
                return 1
        return 0


def _constant(source: str, place: Place) -> tuple[str, list[int]]:
    """A module's own constant that functions alone use, and the lines in which they do; else ""."""
    index, what, _ = place
    tree = ast.parse(source)
    if what != "constant":
        return "", []
    node = list(ast.walk(tree))[index]
    name = next(
        (
            one.id
            for part in tree.body
            if isinstance(part, (ast.Assign, ast.AnnAssign)) and part.value is node
            for one in (part.targets if isinstance(part, ast.Assign) else [part.target])
            if isinstance(one, ast.Name)
        ),
        "",
    )
    bodies = [
        inner
        for part in ast.walk(tree)
        if isinstance(part, (ast.FunctionDef, ast.AsyncFunctionDef))
        for statement in part.body
        for inner in ast.walk(statement)
    ]
    inside = {id(one): one for one in bodies if isinstance(one, ast.Name) and one.id == name}
    every = [one for one in ast.walk(tree) if isinstance(one, ast.Name) and one.id == name]
    if not name or len(every) != len(inside) + 1:  # one more is its own line
        return "", []
    return name, sorted({one.lineno for one in inside.values()})


@functools.cache
def _shared_names() -> frozenset[str]:
    """Names that a module of the package takes from another one."""
    trees = [ast.parse(path.read_text(encoding="utf-8")) for path in (ROOT / "xlfuncs").rglob("*.py")]
    return frozenset(
        alias.name
        for tree in trees
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom)
        for alias in node.names
    )


def _value(text: str, name: str) -> object:
    """What a module's constant is set to."""
    for part in ast.parse(text).body:
        if isinstance(part, (ast.Assign, ast.AnnAssign)) and part.value is not None:
            names = part.targets if isinstance(part, ast.Assign) else [part.target]
            if any(isinstance(one, ast.Name) and one.id == name for one in names):
                return ast.literal_eval(part.value)
    raise RuntimeError(f"no constant {name}")


_APART = 17
"""Exit status of a child that could not exchange the code of a module."""


class _Chosen:
    """Plugin of pytest that keeps some tests, in an order."""

    def __init__(self, order: dict[str, int]) -> None:
        self.order = order

    def pytest_collection_modifyitems(self, items: list[Any]) -> None:
        items[:] = sorted(
            (item for item in items if item.nodeid in self.order), key=lambda item: self.order[item.nodeid]
        )


def _pytest(files: Sequence[str], plugin: object) -> int:
    import pytest

    options = ["-x", "-q", "-p", "no:cacheprovider", "-p", "no:xdist", "-p", "no:benchmark", "-o", "addopts="]
    options += ["--import-mode=importlib", "--hypothesis-profile=few", "-s"]
    return int(pytest.main([*options, *files], plugins=[plugin]))


def _files(names: Sequence[str]) -> list[str]:
    files = [ROOT / "tests" / f"test_{name}.py" for name in names]
    if lost := [path.name for path in files if not path.is_file()]:
        raise RuntimeError(f"no such tests: {', '.join(lost)}; mend TESTS in tests/mutations.py")
    return [str(path) for path in files]


def _child(work: Callable[[], int], seconds: int) -> int:
    """Exit status of `work`, done in silence in a forked process; negative where it hangs or dies."""
    pid = os.fork()
    if pid == 0:
        status = 9
        try:
            signal.signal(signal.SIGALRM, signal.SIG_DFL)
            signal.alarm(seconds)
            quiet = os.open(os.devnull, os.O_WRONLY)
            os.dup2(quiet, 1)
            os.dup2(quiet, 2)
            status = work()
        finally:
            os._exit(status)
    code = os.waitpid(pid, 0)[1]
    return os.waitstatus_to_exitcode(code)


def _concerned(
    lines: dict[int, set[str]], at: range, seconds: dict[str, float], module: str
) -> dict[str, int]:
    """Tests that pass through the lines, of what runs at import those of the module: first those whose files
    import `module`, the quickest first."""
    tests = set().union(*(lines.get(line, set()) for line in at)) - {""}
    if not tests or any("" in lines.get(line, set()) for line in at):
        tests = set().union(*lines.values(), set()) - {""} or set(seconds)
    own = _naming(module)
    ranked = sorted(tests, key=lambda test: (test.partition("::")[0] not in own, seconds.get(test, 0.0)))
    return {test: i for i, test in enumerate(ranked)}


@functools.cache
def _naming(module: str) -> frozenset[str]:
    """Files of tests that import a module: a test that only comes through it is less likely to notice."""
    package, _, name = _dotted(module).rpartition(".")
    return frozenset(
        path.relative_to(ROOT).as_posix()
        for path in (ROOT / "tests").rglob("test_*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.ImportFrom)
        and (
            node.module == f"{package}.{name}"
            or (node.module == package and any(alias.name == name for alias in node.names))
        )
    )


def noticed(module: str, text: str, tests: dict[str, int], longest: int) -> bool:
    """Whether a test fails on the changed module, in a process that imports it anew."""
    files = sorted({str(ROOT / test.partition("::")[0]) for test in tests})

    def work() -> int:
        for name in [name for name in sys.modules if name.split(".")[0] in ("xlfuncs", "tests")]:
            del sys.modules[name]
        sys.meta_path.insert(0, _Mutant(module, text))
        return _pytest(files, _Chosen(tests))

    return _child(work, longest) != 0


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
        "modules", nargs="*", help="modules of gauge, FOLDER/NAME, or a folder; none: gauge and units"
    )
    parser.add_argument("--sample", type=int, default=0, help="how many to draw; 0: every one")
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--tests", nargs="*", help="names of tests, as in tests/test_NAME.py; else by part")
    parser.add_argument(
        "--quick",
        type=float,
        default=math.inf,
        help="leave out tests of more seconds: the score is a lower bound",
    )
    parser.add_argument(
        "--within",
        type=float,
        default=math.inf,
        help="hold each mutant against its quickest tests, up to so many seconds: also a lower bound",
    )
    parser.add_argument("--again", type=Path, help="what an earlier run printed: its survivors only")
    parser.add_argument(
        "--kept", type=Path, help="file that keeps which test passes through which line, for further runs"
    )
    args = parser.parse_args(arguments)
    folders = [name for name in args.modules if (ROOT / "xlfuncs" / name).is_dir()]
    named = [name if "/" in name or name in folders else f"gauge/{name}" for name in args.modules]
    modules = [module for name in named for module in modules_of(name)] or MODULES
    texts = {name: _path(name).read_text(encoding="utf-8") for name in modules}
    drawn = [(module, place) for module, text in texts.items() for place in places(text)]
    if args.sample:
        drawn = random.Random(args.seed).sample(drawn, min(args.sample, len(drawn)))
    if args.again:
        before = args.again.read_text(encoding="utf-8").splitlines()
        drawn = [(m, place) for m, place in drawn if f"{m}, {changed(texts[m], place)[1]}" in before]
    same = [(m, place) for m, place in drawn if _equal(m, changed(texts[m], place)[1])]
    drawn = [each for each in drawn if each not in same]
    os.chdir(ROOT)
    begun = time.monotonic()
    alive = 0
    for part, tests in TESTS.items():
        here = [(m, place) for m, place in drawn if part_of(m) == part]
        with ProcessPoolExecutor(1, get_context("fork")) as pool:  # what is imported is seen to be imported
            if here:
                alive += pool.submit(_held, texts, here, args.tests or tests, args).result()
    total = len(drawn)
    share = (total - alive) / total if total else 1.0
    print(
        f"{total} comparisons and limits changed, {len(same)} more that compute the same:"
        f" {total - alive} noticed, {alive} not: {share:.1%}, in {(time.monotonic() - begun) / 60:.0f} min"
    )
    return 0 if share >= 0.95 else 1


def _equal(module: str, line: str) -> bool:
    return f"{module}, {line.partition(': ')[2]}" in EQUAL


def _package() -> dict[str, str]:
    """A digest of each module of the package."""
    return {
        path.relative_to(ROOT / "xlfuncs").with_suffix("").as_posix(): _digest([path])
        for path in (ROOT / "xlfuncs").rglob("*.py")
    }


def _digest(files: Sequence[Path]) -> str:
    return hashlib.sha256(b"".join(path.read_bytes() for path in files)).hexdigest()


def _held(texts: dict[str, str], drawn: Mutants, names: Sequence[str], options: argparse.Namespace) -> int:
    """How many mutants no test notices; each is printed."""
    from coverage import Coverage

    files, alive = _files(names), []

    def report(module: str, line: str, state: str) -> None:
        if state == "alive":
            alive.append(line)
        if state:
            print(f"{module}, {line}" if module else state, flush=True)

    coverage = Coverage(data_file=None, include=[str(ROOT / "xlfuncs" / "*")], config_file=False)
    coverage.start()
    bench = _Bench(texts, drawn, report)
    bench.coverage, bench.kept = coverage, options.kept
    bench.quick, bench.within = options.quick, options.within
    _load_libraries()
    if _pytest(files, bench) != 0:
        raise RuntimeError("the tests do not pass as they are: mutants would tell nothing")
    return len(alive)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
