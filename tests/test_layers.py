"""Imports point downwards only, and what is heavy is imported late."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

import xlfuncs

ROOT = Path(xlfuncs.__file__).parent
LAYERS = (
    "data",
    "gauge",
    "units",
    "vocabulary",
    "worksheet",
    "spreadsheet",
    "lists",
    "audit",
    "work",
    "report",
    "hosts",
    "face",
    "docs",
    "cli",
)
"""From the bottom upwards."""
FREE = {"errors", "additions", "__init__"}
"""Modules beside the layers that any of them may import."""
ONLY_IN = {
    "pint": {"units"},
    "xlwings": {"hosts"},
    "uno": {"hosts"},
    "unohelper": {"hosts"},
    "CoolProp": {"gauge"},
}
SPREADSHEETS = {"openpyxl", "python_calamine", "xlwings", "uno", "xlsxwriter"}


def _modules() -> Iterator[tuple[str, Path]]:
    for path in sorted(ROOT.rglob("*.py")):
        layer = path.relative_to(ROOT).parts[0].removesuffix(".py")
        if layer in LAYERS:
            yield layer, path


def _imports(path: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            beside = node.level == 1 and path.parent == ROOT / "hosts" / "calc"  # in LibreOffice's own Python
            assert node.level == 0 or beside, f"{path}: relative import"
            yield f"xlfuncs.hosts.calc.{node.module}" if beside else node.module or ""


@pytest.mark.parametrize(
    ("layer", "path"), list(_modules()), ids=lambda value: str(value).removeprefix(str(ROOT))
)
def test_imports_point_downwards(layer: str, path: Path) -> None:
    for name in _imports(path):
        root, _, rest = name.partition(".")
        if root == "xlfuncs" and rest:
            other = rest.split(".")[0]
            if other not in FREE:
                assert LAYERS.index(other) <= LAYERS.index(layer), f"{path.name} imports {name}"
        assert layer in ONLY_IN.get(root, {layer}), f"{path.name} imports {root}"
        if layer in ("gauge", "units", "data", "worksheet"):
            assert root not in SPREADSHEETS, f"{path.name} imports {root}"


PRIVATE_OF_LIBRARIES = {
    "spreadsheet/sparse.py": {
        *("openpyxl.worksheet._reader", "_get_source", "_shared_strings"),
        *("_date_formats", "_timedelta_formats"),
    },
    "spreadsheet/streamed.py": {"openpyxl.worksheet._writer"},
    "hosts/excel/server.py": {"_xlwindows"},
    "hosts/actions.py": {"_exit"},  # of os, documented
}
"""Names that a library does not promise: pyproject.toml says up to which version they hold."""


def _private(name: str) -> bool:
    return name.startswith("_") and not name.endswith("__")


def _private_names(path: Path) -> Iterator[str]:
    """Private names that a module takes from elsewhere; a private module of the same package is its own."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    own = {"_replace", "_asdict", "_fields"}  # of named tuples, documented
    for node in ast.walk(tree):
        if isinstance(node, (ast.FunctionDef, ast.ClassDef)):
            own.add(node.name)
        elif isinstance(node, ast.Attribute) and isinstance(node.ctx, ast.Store):
            own.add(node.attr)
        elif isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store):
            own.add(node.id)
    package = ".".join(path.relative_to(ROOT.parent).parts[:-1])
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and node.module != package:
            module, names = node.module or "", [alias.name for alias in node.names]
            if any(map(_private, module.split("."))) and not module.startswith(f"{package}._"):
                yield module
            yield from filter(_private, names)
        elif isinstance(node, ast.Attribute) and _private(node.attr) and node.attr not in own:
            yield node.attr


def test_a_name_that_others_use_is_public() -> None:
    taken = {path.relative_to(ROOT).as_posix(): set(_private_names(path)) for _, path in _modules()}
    assert {path: names for path, names in taken.items() if names} == PRIVATE_OF_LIBRARIES


def test_the_evaluator_knows_no_function_of_ours() -> None:
    for path in sorted((ROOT / "spreadsheet").rglob("*.py")):
        layers = {name.split(".")[1] for name in _imports(path) if name.startswith("xlfuncs.")}
        assert not layers & {"worksheet", "gauge", "units"}, path.name
        if path.parent.name == "functions" or path.stem in ("formula", "evaluate", "kept", "block"):
            assert "LG_" not in path.read_text(encoding="utf-8"), path.name


def test_the_command_starts_without_what_is_heavy() -> None:
    code = "import sys; from xlfuncs.cli import main; main(['--help']); print(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = set(done.stdout.splitlines()[-1].split())
    assert not loaded & {"numpy", "pint", "openpyxl", "rich", "CoolProp", "python_calamine", "xlwings"}
