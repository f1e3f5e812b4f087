"""Comparisons of the physics turned round, one at a time: do the tests notice?

    python -m tests.mutations response stability          # every comparison of these modules of gauge
    python -m tests.mutations --sample 20 --seed 1        # twenty of all, drawn by the seed

Each mutant is a copy of the package with one comparison turned round (< and >=, > and <=, == and != are
exchanged). The tests of its module run on it in a process of their own until one fails. What survives is
printed with its line. It takes the time of the module's tests for each mutant.
"""

from __future__ import annotations

import argparse
import ast
import random
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parent.parent
TESTS = {
    "gauge/capillary": "test_model",
    "gauge/chamber": "test_chamber test_model",
    "gauge/density": "test_fluids test_model",
    "gauge/floats": "test_floats test_model",
    "gauge/hot": "test_model",
    "gauge/layers": "test_model",
    "gauge/model": "test_model",
    "gauge/nozzle": "test_model",
    "gauge/response": "test_response",
    "gauge/signal": "test_signal",
    "gauge/stability": "test_model",
    "gauge/strength": "test_strength",
    "gauge/switches": "test_switches",
    "gauge/uncertainty": "test_uncertainty",
    "gauge/viscosity": "test_viscosity",
    "units/_convert": "test_units",
    "units/_number": "test_units",
}
"""Module -> test modules that concern it."""

_TURNED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.GtE,
    ast.LtE: ast.Gt,
    ast.Gt: ast.LtE,
    ast.GtE: ast.Lt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
}


def comparisons(source: str) -> list[tuple[int, int]]:
    """(number of the comparison in the module, place of the operator in it) of all that can be turned."""
    nodes = [node for node in ast.walk(ast.parse(source)) if isinstance(node, ast.Compare)]
    return [(i, k) for i, node in enumerate(nodes) for k, op in enumerate(node.ops) if type(op) in _TURNED]


def turned(source: str, at: tuple[int, int]) -> tuple[str, str]:
    """The module with one comparison turned, and the line that was changed."""
    tree = ast.parse(source)
    node = [node for node in ast.walk(tree) if isinstance(node, ast.Compare)][at[0]]
    before = ast.unparse(node)
    node.ops[at[1]] = _TURNED[type(node.ops[at[1]])]()
    return ast.unparse(tree), f"line {node.lineno}: {before}  ->  {ast.unparse(node)}"


def survives(module: str, at: tuple[int, int], folder: Path) -> str:
    """The changed line where the tests of the module pass all the same; "" where one fails."""
    path = folder / "xlfuncs" / f"{module}.py"
    original = path.read_text(encoding="utf-8")
    mutant, line = turned(original, at)
    path.write_text(mutant, encoding="utf-8")
    names = [f"tests/{name}.py" for name in TESTS[module].split()]
    command = [sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", "-p", "no:xdist", *names]
    try:
        done = subprocess.run(command, cwd=folder, capture_output=True, timeout=600, check=False)
    except subprocess.TimeoutExpired:
        return ""
    finally:
        path.write_text(original, encoding="utf-8")
    return line if done.returncode == 0 else ""


def main(arguments: list[str]) -> int:
    """Print the survivors and the score; the exit status is 1 where there are any."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutations")
    parser.add_argument("modules", nargs="*", help="modules of gauge, or units/NAME; all when none is named")
    parser.add_argument("--sample", type=int, default=0, help="how many to draw; 0: every one")
    parser.add_argument("--seed", type=int, default=0)
    args = parser.parse_args(arguments)
    modules = [name if "/" in name else f"gauge/{name}" for name in args.modules] or list(TESTS)
    drawn = [
        (module, at)
        for module in modules
        for at in comparisons((ROOT / "xlfuncs" / f"{module}.py").read_text(encoding="utf-8"))
    ]
    if args.sample:
        drawn = random.Random(args.seed).sample(drawn, min(args.sample, len(drawn)))
    alive = 0
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for part in ("xlfuncs", "tests"):
            shutil.copytree(ROOT / part, folder / part, ignore=shutil.ignore_patterns("__pycache__"))
        shutil.copy(ROOT / "pyproject.toml", folder)
        for module, at in drawn:
            line = survives(module, at, folder)
            alive += bool(line)
            if line:
                print(f"{module}, {line}", flush=True)
    print(f"{len(drawn)} comparisons turned round: {len(drawn) - alive} noticed, {alive} not")
    return 1 if alive else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
