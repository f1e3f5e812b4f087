"""Every function and class of the package is used in the package, or said to be for others."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import xlfuncs

ROOT = Path(xlfuncs.__file__).parent
Definition = ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef
FOR_OTHERS = {
    "__init__.py": {"__getattr__", "__dir__"},  # Python's own hooks
    "face.py": {"to_frame", "to_html", "_repr_html_"},  # of AuditResult, public
    # limits and steps of what is used, held against printed values of their own
    "gauge/density.py": {"expansion_factor"},
    "gauge/ratings.py": {"class_number"},
    "gauge/stability.py": {"lowest_centre_of_gravity"},
    "gauge/strength.py": {"long_cylinder"},
}
"""Called from outside: by Python, by users, by checks against publications."""
OTHER_PROGRAMS = (
    "hosts/calc/bridge.py",
    "hosts/calc/commands.py",
    "hosts/calc/jobs.py",
    "hosts/calc/windows.py",
)
"""LibreOffice calls their methods by name (UNO interfaces)."""


def _trees() -> Iterator[tuple[str, ast.Module]]:
    for path in sorted(ROOT.rglob("*.py")):
        yield path.relative_to(ROOT).as_posix(), ast.parse(path.read_text(encoding="utf-8"))


def _docstrings(tree: ast.Module) -> set[int]:
    bodies = (node.body for node in ast.walk(tree) if isinstance(node, (ast.Module, Definition)))
    return {
        id(one.value)
        for body in bodies
        for one in body
        if isinstance(one, ast.Expr) and isinstance(one.value, ast.Constant)
    }


def _words(tree: ast.Module) -> Iterator[str]:
    """Every word by which a module could mean a function: names, attributes, and words of its texts."""
    left = _docstrings(tree)
    for node in ast.walk(tree):
        if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Load):
            yield node.id
        elif isinstance(node, ast.Attribute):
            yield node.attr
        elif isinstance(node, ast.ImportFrom):  # ruff says which imports are not used
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in left:
            yield from re.findall(r"\w+", node.value)  # a function of the catalogue is named in a text


def _unused(file: str, tree: ast.Module, used: set[str]) -> Iterator[str]:
    for node in ast.walk(tree):
        if not isinstance(node, Definition) or node.name in used:
            continue
        dunder = node.name.startswith("__") and node.name.endswith("__")
        method = any(node in owner.body for owner in ast.walk(tree) if isinstance(owner, ast.ClassDef))
        if dunder and method:
            continue
        if file in OTHER_PROGRAMS and method:
            continue
        yield node.name


def test_no_function_is_dead() -> None:
    trees = dict(_trees())
    used = {word for tree in trees.values() for word in _words(tree)}
    dead = {
        file: set(_unused(file, tree, used)) - FOR_OTHERS.get(file, set()) for file, tree in trees.items()
    }
    assert {file: names for file, names in dead.items() if names} == {}


def test_a_dead_function_is_found() -> None:
    tree = ast.parse(
        'def used(): ...\ndef dead():\n    """dead"""\nused()\nx = "a.b:named"\ndef named(): ...\n'
    )
    assert set(_unused("x.py", tree, set(_words(tree)))) == {"dead"}
