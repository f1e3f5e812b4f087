"""CPU time of an ordinary audit against that of loading the libraries that anybody would use for one.

    python -m tests.benchmarks.bench_ordinary [BOOK ...] [--rounds N]

Each round runs both in processes of their own, in turn. They use compiled modules as an installed program
does, whatever this process was told. Printed: the median CPU seconds (user and system), and their ratio.
"""

from __future__ import annotations

import argparse
import os
import resource
import subprocess
import sys
import tempfile
from pathlib import Path
from statistics import median

ROOT = Path(__file__).parents[2]
BOOKS = [ROOT / "workbooks" / f"{name}_index.xlsx" for name in ("contractor", "instrument")]
LOADING = ["-c", "import numpy, openpyxl, pint"]


def _cpu(arguments: list[str], environment: dict[str, str]) -> float:
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    done = subprocess.run([sys.executable, *arguments], cwd=ROOT, env=environment, capture_output=True)
    if done.returncode > 1:
        raise SystemExit(done.stderr.decode())
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def measure(book: Path, rounds: int) -> tuple[float, float]:
    """(audit, loading) in CPU seconds: medians of some rounds, after one that does not count."""
    with tempfile.TemporaryDirectory() as folder:
        environment = os.environ | {"PYTHONPYCACHEPREFIX": folder, "PYTHONPATH": str(ROOT)}
        environment.pop("PYTHONDONTWRITEBYTECODE", None)
        out = str(Path(folder) / "found.json")
        audit = ["-m", "xlfuncs", "audit", str(book), "--format", "json", "-o", out]
        taken = [(_cpu(audit, environment), _cpu(LOADING, environment)) for _ in range(rounds + 1)][1:]
    audits, loads = zip(*taken, strict=True)
    return median(audits), median(loads)


def main() -> int:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("books", nargs="*", type=Path, default=BOOKS)
    parser.add_argument("--rounds", type=int, default=7)
    args = parser.parse_args()
    for book in args.books:
        audit, loading = measure(book, args.rounds)
        print(f"audit of {book.name}: {audit:.2f} s of CPU time")
        print(f"import numpy, openpyxl, pint: {loading:.2f} s")
        print(f"ratio: {audit / loading:.2f}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
