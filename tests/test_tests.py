"""The tests themselves: each of them can fail."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

TESTS = Path(__file__).parent
FILES = sorted(TESTS.rglob("test_*.py"))
Function = ast.FunctionDef | ast.AsyncFunctionDef


def _functions(tree: ast.AST) -> dict[str, Function]:
    return {node.name: node for node in ast.walk(tree) if isinstance(node, Function)}


def _checks(node: ast.AST, known: dict[str, Function], seen: frozenset[str] = frozenset()) -> bool:
    """Whether a function asserts: itself, by what raises or warns, or in a function that it calls."""
    for part in ast.walk(node):
        if isinstance(part, ast.Assert) and not isinstance(part.test, ast.Constant):
            return True
        if not isinstance(part, ast.Call):
            continue
        called = part.func
        name = called.attr if isinstance(called, ast.Attribute) else getattr(called, "id", "")
        if name in ("raises", "warns", "fail") or name.startswith(("assert_", "check_")):
            return True
        helps = isinstance(called, ast.Name) and name in known and name not in seen
        if helps and _checks(known[name], known, seen | {name}):
            return True
    return False


def _imported(tree: ast.Module) -> dict[str, Function]:
    """The functions that a file takes from other modules of the tests."""
    found: dict[str, Function] = {}
    for node in tree.body:
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("tests"):
            path = TESTS.parent / Path(*str(node.module).split(".")).with_suffix(".py")
            if path.is_file():
                theirs = _functions(ast.parse(path.read_text(encoding="utf-8")))
                found |= {
                    alias.asname or alias.name: theirs[alias.name]
                    for alias in node.names
                    if alias.name in theirs
                }
    return found


def cannot_fail(source: str) -> Iterator[str]:
    """The tests of a file that assert nothing."""
    tree = ast.parse(source)
    known = _imported(tree) | _functions(tree)
    for name, node in _functions(tree).items():
        if name.startswith("test") and not _checks(node, known):
            yield name


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.relative_to(TESTS).as_posix())
def test_each_test_asserts_something(path: Path) -> None:
    assert list(cannot_fail(path.read_text(encoding="utf-8"))) == []


@pytest.mark.parametrize(
    ("body", "found"),
    [
        ("    f(1)", ["test_it"]),
        ("    assert True", ["test_it"]),
        ("    assert f(1) == 2", []),
        ("    with pytest.raises(ValueError):\n        f(1)", []),
        ("    helper()\n\ndef helper():\n    assert f(1)", []),
        ("    helper()\n\ndef helper():\n    f(1)", ["test_it"]),
    ],
)
def test_a_test_that_asserts_nothing_is_found(body: str, found: list[str]) -> None:
    assert list(cannot_fail(f"def test_it():\n{body}\n")) == found


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.relative_to(TESTS).as_posix())
def test_no_two_tests_of_a_file_have_one_name(path: Path) -> None:
    """The second would take the place of the first, which then never runs."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for body in [tree.body, *(node.body for node in tree.body if isinstance(node, ast.ClassDef))]:
        names = [node.name for node in body if isinstance(node, Function)]
        assert len(names) == len(set(names))
